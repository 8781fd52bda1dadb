// Filters and sorts the rows of the gallery and of the bin. The choice is kept in the address, so that
// it can be bookmarked and sent.
(function () {
  'use strict';
  var box = document.getElementById('filters');
  var list = document.getElementById('rows');
  if (!box || !list) return;
  var rows = [].slice.call(list.querySelectorAll('[data-words]'));
  var word = document.getElementById('narrow');
  var sort = document.getElementById('sort');
  var found = document.getElementById('found');
  var nothing = document.getElementById('nothing');
  var sets = [].slice.call(box.querySelectorAll('[data-filter]'));
  var letters = { 'ß': 'ss', 'æ': 'ae', 'œ': 'oe', 'ø': 'o', 'ł': 'l', 'đ': 'd', 'ð': 'd', 'þ': 'th', 'ı': 'i' };
  function fold(text) {
    return text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase().replace(/\p{M}/gu, '')
      .replace(/[ßæœøłđðþı]/g, function (c) { return letters[c]; });
  }
  function chosen(set) {
    return [].filter.call(set.querySelectorAll('input'), function (i) { return i.checked; })
      .map(function (i) { return i.value; });
  }
  function keep(state) {
    var text = state.join('&');
    try {
      history.replaceState(null, '', text ? '#' + text : location.pathname + location.search);
    } catch (refused) {
      // Some browsers refuse it for a file: then the choice is not kept.
    }
  }
  function show(event) {
    var state = [];
    var want = sets.map(function (set) {
      var values = chosen(set);
      if (values.length) state.push(set.dataset.filter + '=' + values.map(encodeURIComponent).join(','));
      return [set.dataset.filter, values];
    });
    var words = fold(word.value).split(/\s+/).filter(Boolean);
    if (words.length) state.push('word=' + encodeURIComponent(word.value));
    if (sort && sort.value !== 'date') state.push('sort=' + sort.value);
    var count = 0;
    rows.forEach(function (row) {
      var fits = want.every(function (w) {
        return !w[1].length || row.dataset[w[0]].split(' | ').some(function (v) { return w[1].indexOf(v) >= 0; });
      }) && words.every(function (w) {
        return (' ' + row.dataset.words).indexOf(' ' + w) >= 0;
      });
      row.hidden = !fits;
      if (fits) count++;
    });
    [].forEach.call(list.querySelectorAll('[data-group]'), function (group) {
      group.hidden = !group.querySelector('[data-words]:not([hidden])');
    });
    nothing.hidden = count > 0;
    found.textContent = state.length && count < rows.length ? count + ' of ' + rows.length + ' shown' : '';
    if (event) keep(state);
  }
  function order() {
    if (!sort) return;
    var by = { date: ['date', -1], size: ['diameter', 1], thickness: ['thickness', 1] }[sort.value];
    rows.map(function (row, at) { return [row, at]; }).sort(function (a, b) {
      if (!by) return a[0].querySelector('h2').textContent.localeCompare(b[0].querySelector('h2').textContent);
      var x = a[0].dataset[by[0]], y = b[0].dataset[by[0]];
      if (by[0] === 'date') return x === y ? a[1] - b[1] : x < y ? 1 : -1;
      return (Number(x) || 1e9) - (Number(y) || 1e9) || a[1] - b[1];
    }).forEach(function (pair) { list.appendChild(pair[0]); });
  }
  function restore() {
    location.hash.slice(1).split('&').forEach(function (piece) {
      var at = piece.indexOf('=');
      var name = piece.slice(0, at), value = piece.slice(at + 1);
      if (name === 'word') word.value = decodeURIComponent(value);
      if (name === 'sort' && sort) sort.value = value;
      sets.forEach(function (set) {
        if (set.dataset.filter !== name) return;
        var values = value.split(',').map(decodeURIComponent);
        [].forEach.call(set.querySelectorAll('input'), function (i) { i.checked = values.indexOf(i.value) >= 0; });
      });
    });
  }
  var all = box.querySelector('.all');
  if (all) all.addEventListener('click', function () {
    all.setAttribute('aria-expanded', box.classList.toggle('open'));
    all.textContent = box.classList.contains('open') ? 'Fewer filters' : 'More filters';
  });
  restore();
  box.addEventListener('change', function (event) { if (event.target === sort) order(); show(event); });
  word.addEventListener('input', show);
  if (sort && sort.value !== 'date') order();
  show();
})();
