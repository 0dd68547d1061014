"use strict";
// The bench behind the sheet: a page of its own in a frame, put together when it is first asked for.
(function () {
  const open = document.getElementById("bench-open");
  const view = document.getElementById("bench-window");
  const frame = document.getElementById("bench-frame");
  if (!view.showModal || !window.WebAssembly) return;
  open.hidden = false;
  open.addEventListener("click", () => {
    if (!frame.srcdoc) frame.srcdoc = JSON.parse(document.getElementById("bench-page").textContent);
    view.showModal();
    frame.focus();
  });
  document.getElementById("bench-close").addEventListener("click", () => view.close());
})();
