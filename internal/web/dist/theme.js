// Sets light or dark before anything is drawn, so that nothing flashes.
(function () {
  try {
    var theme = localStorage.getItem('facings.theme');
    if (theme === 'light' || theme === 'dark') document.documentElement.dataset.theme = theme;
  } catch {
    // Private windows may refuse storage; the system's setting holds then.
  }
})();
