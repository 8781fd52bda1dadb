// Follows the journal: shows the new page in place of the old one, at the same spot, and lays what
// cannot be read over it. Only the bench's answers hold this script, never a published site.
(function () {
  'use strict';
  var stream = null;
  var known = document.currentScript.dataset.page; // which page is on show
  var busy = false, again = false, last = null;

  function listen() {
    if (stream || document.hidden) return;
    stream = new EventSource('/.bench/events');
    stream.onmessage = function (event) {
      var notice = JSON.parse(event.data);
      note(notice);
      if (notice.version !== last) { last = notice.version; look(); }
    };
  }
  // A browser holds few connections to one host; pages in the background give theirs back.
  document.addEventListener('visibilitychange', function () {
    if (!document.hidden) listen();
    else if (stream) { stream.close(); stream = null; }
  });

  function look() {
    if (busy) { again = true; return; }
    busy = true;
    fetch(location.pathname + location.search, { cache: 'no-cache' }).then(function (answer) {
      var tag = (answer.headers.get('etag') || 'missing').replace(/^W\/|"/g, '');
      return answer.text().then(function (text) { show(tag, text); });
    }).catch(function () {
      // The bench has ended, or starts anew: the stream comes back by itself.
    }).then(function () {
      busy = false;
      if (again) { again = false; look(); }
    });
  }

  function show(tag, text) {
    if (tag === known) return;
    var fresh = new DOMParser().parseFromString(text, 'text/html');
    known = tag;
    var open = document.querySelector('dialog[open]');
    if (open || !replaceable(fresh)) { location.reload(); return; }
    swap(fresh);
  }

  // All that stands around the main part: where that changed, only loading anew is safe.
  function frame(page) {
    var copy = page.documentElement.cloneNode(true);
    // What a script has laid into the head, as the faces that it fetches early, is in no answer.
    var own = 'main, title, meta[name=description], link[rel=preload], script[src^="/.bench/"], #bench-note, dialog';
    [].forEach.call(copy.querySelectorAll(own), function (e) { e.remove(); });
    return copy.outerHTML.replace(/\s+/g, ' ');
  }
  var around = frame(document);
  // The theme says of its scripts what a new main part asks of them, data-new-main: `again`, to be run once
  // more for it, or `nothing`. One of which it says nothing has the page loaded anew.
  function scripts() {
    return [].slice.call(document.querySelectorAll('script[src]:not([src^="/.bench/"])'));
  }
  function replaceable(fresh) {
    return document.querySelector('main') && fresh.querySelector('main') && frame(fresh) === around &&
      scripts().every(function (s) { return s.dataset.newMain; });
  }

  function swap(fresh) {
    var was = document.querySelector('main'), now = document.adoptNode(fresh.querySelector('main'));
    var spot = holdPlace(was);
    keep(was, now);
    was.replaceWith(now);
    document.title = fresh.title;
    scripts().forEach(function (s) {
      if (s.dataset.newMain !== 'again') return;
      var next = document.createElement('script');
      [].forEach.call(s.attributes, function (a) { next.setAttribute(a.name, a.value); });
      s.replaceWith(next);
    });
    spot();
    document.dispatchEvent(new CustomEvent('bench-shown'));
  }

  // Keeps in view what stood at the top of the view: by its own name where it has one.
  function holdPlace(main) {
    var left = scrollX, top = scrollY, named = null;
    [].some.call(main.querySelectorAll('[id]'), function (e) {
      var y = e.getBoundingClientRect().top;
      if (y > innerHeight / 2) return true;
      if (e.getClientRects().length) named = [e.id, y];
      return false;
    });
    return function () {
      var there = named && document.getElementById(named[0]);
      var by = there && there.getClientRects().length ? there.getBoundingClientRect().top - named[1] : null;
      if (top === 0) scrollTo({ left: left, top: 0, behavior: 'instant' });
      else if (by === null) scrollTo({ left: left, top: top, behavior: 'instant' });
      else scrollTo({ left: left, top: scrollY + by, behavior: 'instant' });
    };
  }

  // What was opened, typed or ticked stays so.
  function keep(was, now) {
    function pairs(selector, each) {
      var old = [].slice.call(was.querySelectorAll(selector));
      [].forEach.call(now.querySelectorAll(selector), function (e, n) {
        var match = e.id ? old.filter(function (o) { return o.id === e.id; })[0] : old[n];
        if (match && match.id === e.id) each(match, e);
      });
    }
    pairs('details', function (o, e) { e.open = o.open; });
    pairs('input, select, textarea', function (o, e) {
      if (o.type === 'checkbox' || o.type === 'radio') e.checked = o.checked;
      else e.value = o.value;
    });
  }

  function note(notice) {
    var box = document.getElementById('bench-note');
    if (!box) {
      box = document.createElement('div');
      box.id = 'bench-note';
      box.setAttribute('role', 'status');
      document.body.appendChild(box);
    }
    box.hidden = !notice.said.length;
    box.textContent = '';
    if (box.hidden) return;
    var head = document.createElement('p'), list = document.createElement('ul');
    head.textContent = notice.head;
    notice.said.forEach(function (one) {
      var item = document.createElement('li'), place = document.createElement('code');
      place.textContent = one.place;
      item.append(place, one.place ? ' ' : '', one.text);
      list.appendChild(item);
    });
    box.append(head, list);
  }

  listen();
})();
