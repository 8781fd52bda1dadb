// Looks words up in the index in search/: classic scripts that call back, so that search works from a
// file too. Only the pieces that a query needs are loaded.
(function () {
  'use strict';
  var field = document.getElementById('search');
  var list = document.getElementById('hits');
  var found = document.getElementById('found');
  if (!field || !list) return;
  var pages = null, firsts = '', words = {}, asked = {}, most = 60;
  var letters = { 'ß': 'ss', 'æ': 'ae', 'œ': 'oe', 'ø': 'o', 'ł': 'l', 'đ': 'd', 'ð': 'd', 'þ': 'th', 'ı': 'i' };
  function fold(text) {
    return text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase().replace(/\p{M}/gu, '')
      .replace(/[ßæœøłđðþı]/g, function (c) { return letters[c]; }).replace(/\u2212/g, '-');
  }
  function load(name) {
    if (asked[name]) return;
    asked[name] = true;
    var script = document.createElement('script');
    script.src = list.dataset.index + encodeURIComponent(name) + '.js';
    script.onerror = function () { found.textContent = 'The search index cannot be read.'; };
    document.head.appendChild(script);
  }
  window.endshakePages = function (f, p) { firsts = f; pages = p; look(); };
  window.endshakeWords = function (first, w) { words[first] = w; look(); };
  function shard(word) {
    var first = /^[a-z0-9]/.test(word) ? word[0] : '_';
    return firsts.indexOf(first) >= 0 ? first : null;
  }
  function question() {
    return fold(field.value).split(/[^\p{L}\p{N}._-]+/u)
      .map(function (w) { return w.replace(/^[._-]+|[._-]+$/g, '').slice(0, 24); }).filter(Boolean);
  }
  function hits(word) {
    var first = shard(word);
    var scores = {};
    if (!first) return scores;
    words[first].forEach(function (pair) {
      if (pair[0].lastIndexOf(word, 0) !== 0) return;
      var whole = pair[0] === word ? 2 : 1;
      pair[1].forEach(function (n) {
        var at = n < 0 ? -1 - n : n;
        scores[at] = Math.max(scores[at] || 0, whole * (n < 0 ? 1 : 4));
      });
    });
    return scores;
  }
  function look() {
    var ask = question();
    if (!ask.length) { list.textContent = ''; found.textContent = ''; return; }
    load('pages');
    if (!pages) return;
    var need = ask.map(shard).filter(Boolean);
    need.forEach(load);
    if (need.some(function (f) { return !words[f]; })) return;
    var all = ask.map(hits);
    var ranked = Object.keys(all[0]).filter(function (at) {
      return all.every(function (scores) { return scores[at]; });
    }).map(function (at) {
      return [Number(at), all.reduce(function (sum, scores) { return sum + scores[at]; }, 0)];
    }).sort(function (a, b) { return b[1] - a[1] || a[0] - b[0]; });
    list.textContent = '';
    ranked.slice(0, most).forEach(function (pair) { list.appendChild(line(pages[pair[0]])); });
    found.textContent = ranked.length ? ranked.length + (ranked.length === 1 ? ' page' : ' pages') +
      (ranked.length > most ? ', the first ' + most + ' shown' : '') : 'Nothing found.';
    try { history.replaceState(null, '', '#' + encodeURIComponent(field.value)); } catch (refused) { /* not kept */ }
  }
  function line(page) {
    var item = document.createElement('li'), title = document.createElement('h2'), link = document.createElement('a');
    link.href = list.dataset.root + page[0];
    link.textContent = page[1];
    title.appendChild(link);
    var kind = document.createElement('p');
    kind.className = 'st';
    kind.textContent = page[2] + (page[3] ? ', ' + page[3] : '');
    item.append(kind, title);
    if (page[4]) {
      var text = document.createElement('p');
      text.textContent = page[4];
      item.appendChild(text);
    }
    return item;
  }
  field.addEventListener('focus', function () { load('pages'); });
  field.addEventListener('input', look);
  if (location.hash.length > 1) {
    try { field.value = decodeURIComponent(location.hash.slice(1)); } catch (broken) { field.value = ''; }
    look();
  }
  field.focus();
})();
