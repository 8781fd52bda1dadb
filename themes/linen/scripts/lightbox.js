// Shows a page's photos large: arrow keys, swipe, Escape. Without it a photo's link opens the photo.
(function () {
  'use strict';
  var links = [].slice.call(document.querySelectorAll('a.zoom'));
  if (!links.length || !window.HTMLDialogElement) return;
  var box, image, caption, count, from, at = 0, touched = null;
  function make(tag, name, text) {
    var e = document.createElement(tag);
    if (name) e.className = name;
    if (text) e.textContent = text;
    return e;
  }
  function button(name, label, act) {
    var b = make('button', name);
    b.type = 'button';
    b.setAttribute('aria-label', label);
    b.addEventListener('click', act);
    box.appendChild(b);
  }
  function build() {
    box = make('dialog', 'lightbox');
    box.setAttribute('aria-label', 'Photo');
    image = make('img');
    var note = make('p', 'note');
    caption = make('span');
    from = make('a');
    count = make('span', 'count');
    count.setAttribute('role', 'status');
    note.append(caption, from, count);
    box.append(image, note);
    if (links.length > 1) {
      button('back', 'Previous photo', function () { go(-1); });
      button('on', 'Next photo', function () { go(1); });
    }
    button('shut', 'Close', function () { box.close(); });
    box.addEventListener('keydown', function (event) {
      if (event.key === 'ArrowLeft') go(-1);
      else if (event.key === 'ArrowRight') go(1);
      else if (event.key === 'Home') show(0);
      else if (event.key === 'End') show(links.length - 1);
      else return;
      event.preventDefault();
    });
    box.addEventListener('pointerdown', function (event) { touched = [event.clientX, event.clientY]; });
    box.addEventListener('pointerup', function (event) {
      if (!touched) return;
      var x = event.clientX - touched[0], y = event.clientY - touched[1];
      touched = null;
      if (Math.abs(x) > 40 && Math.abs(x) > Math.abs(y)) go(x < 0 ? 1 : -1);
      else if (event.target === box && Math.abs(x) + Math.abs(y) < 8) box.close();
    });
    box.addEventListener('close', function () { links[at].focus(); });
    document.body.appendChild(box);
  }
  function show(next) {
    at = (next + links.length) % links.length;
    var link = links[at], small = link.querySelector('img'), figure = link.closest('figure');
    var words = figure && figure.querySelector('figcaption');
    image.src = link.href;
    image.alt = small ? small.alt : '';
    image.width = small ? small.width : 0;
    caption.textContent = words ? words.textContent : image.alt;
    from.textContent = link.dataset.from || '';
    if (link.dataset.page) from.href = link.dataset.page;
    from.hidden = !link.dataset.page;
    count.textContent = links.length > 1 ? (at + 1) + ' of ' + links.length : '';
    if (links.length > 1) {
      // The next one is fetched while this one is looked at.
      new Image().src = links[(at + 1) % links.length].href;
    }
  }
  function go(by) {
    if (links.length > 1) show(at + by);
  }
  links.forEach(function (link, n) {
    link.addEventListener('click', function (event) {
      if (event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
      event.preventDefault();
      if (!box) build();
      show(n);
      box.showModal();
    });
  });
})();
