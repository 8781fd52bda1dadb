// Opens the finding that the address or a link on the page points to.
(function () {
  'use strict';
  function open() {
    var target = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (target && target.tagName === 'DETAILS') {
      target.open = true;
      target.scrollIntoView();
    }
  }
  window.addEventListener('hashchange', open);
  open();
})();
