// Preloads the type faces before the first line is set, so that no line moves when they arrive. The
// stylesheet uses a face only if it is ready at once. A page opened as a file may not preload; there the
// faces are swapped in when they are ready.
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
