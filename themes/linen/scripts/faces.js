// Has the type faces at hand before the first line is set, so that no line moves when they come.
// The stylesheet asks for a face only if it is there at once: served pages fetch all of them early,
// and a page opened as a file, where fetching early is refused, takes them as they come.
(function () {
  'use strict';
  if (location.protocol === 'file:') {
    document.fonts.forEach(function (face) { face.display = 'swap'; });
    return;
  }
  document.currentScript.getAttribute('data-faces').split(' ').forEach(function (href) {
    var link = document.createElement('link');
    link.rel = 'preload';
    link.as = 'font';
    link.type = 'font/woff2';
    link.crossOrigin = '';
    link.href = href;
    document.head.appendChild(link);
  });
})();
