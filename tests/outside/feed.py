#!/usr/bin/env python3
"""Reads the feed of a published site as a feed reader does, and its sitemap as a crawler does.

`python3 tests/outside/feed.py SITE`, of a journal that has an `address`.

feedparser is that of requirements.txt. Exit status: 0 all as it must be, 1 something is not, 2 it could
not run.
"""

import re
import subprocess
import sys
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

from references import at_home, stop

SITEMAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"


def main():
    if len(sys.argv) != 2 or not (Path(sys.argv[1]) / "feed.xml").is_file():
        stop("say where a site with a feed is")
    site = Path(sys.argv[1])
    faults = feed(site) + sitemap(site)
    for fault in faults:
        print(f"fault: {fault}")
    return 1 if faults else 0


def feed(site):
    import feedparser

    read = feedparser.parse((site / "feed.xml").read_bytes())
    faults = []

    def must(truth, what):
        if not truth:
            faults.append(f"feed.xml: {what}")

    must(not read.bozo, f"not well formed: {read.get('bozo_exception')}")
    must(read.version == "atom10", f"read as {read.version or 'no feed'}")
    for name in ("id", "title", "updated_parsed", "author", "language"):
        must(read.feed.get(name), f"the feed has no {name}")
    home = read.feed.get("link", "")
    must(read.feed.get("id") == home, "the feed's id is not its address")
    own = [link.href for link in read.feed.get("links", []) if link.rel == "self"]
    must(own == [home + "feed.xml"], f"says that it stands at {own}")
    entries = read.entries
    logged = [page for page in (site / "builds").glob("*/*.html")]
    must(len(entries) == min(len(logged), 50), f"{len(entries)} entries for {len(logged)} days")
    must(len({entry.id for entry in entries}) == len(entries), "an id stands twice")
    days = [entry.updated_parsed for entry in entries]
    must(days == sorted(days, reverse=True), "not newest first")
    must(not days or read.feed.updated_parsed == days[0], "was not updated with its newest entry")
    for entry in entries:
        page = site / unquote(entry.link.removeprefix(home))
        must(entry.link.startswith(home) and page.is_file(), f"{entry.link} leads to no page")
        if not page.is_file():
            continue
        told = re.search(r"<h1[^>]*>(.*?)</h1>", page.read_text(encoding="utf-8"), re.S)
        must(told and entry.title.endswith(plain(told[1])), f"{entry.title} is not what its page is called")
        must(entry.summary and "<" not in entry.summary, f"{entry.title} has no summary, or markup in it")
    print(f"feed: {len(entries)} entries read")
    return faults


def sitemap(site):
    tree = ElementTree.parse(site / "sitemap.xml").getroot()
    places = [place.text for place in tree.iter(SITEMAP + "loc")]
    home = min(places, key=len)
    told = {unquote(place.removeprefix(home)) or "index.html" for place in places}
    pages = {page.relative_to(site).as_posix() for page in site.rglob("*.html")} - {"search.html"}
    faults = [f"sitemap.xml: {page} is not there" for page in sorted(told - pages)]
    faults += [f"sitemap.xml says nothing of {page}" for page in sorted(pages - told)]
    if len(places) != len(told):
        faults.append("sitemap.xml: a page stands twice")
    print(f"sitemap: {len(places)} pages")
    return faults


def plain(html):
    from html import unescape

    return unescape(re.sub(r"<[^>]+>", "", html)).strip()


if __name__ == "__main__":
    try:
        at_home(__file__)
        sys.exit(main())
    except (OSError, subprocess.CalledProcessError, ElementTree.ParseError) as fault:
        stop(fault)
