/* Looks again when something has changed. Without it the page works all the same, by loading it anew. */
(function () {
  "use strict";
  var now = document.getElementById("now"), lost = document.getElementById("lost"), wait = 500, last = Date.now(), stream;
  var LOST = "Connection lost: what stands here may be out of date. Use the keys at the stall.";
  function say(text) { lost.hidden = !text; if (lost.textContent !== text) lost.textContent = text; }
  function look() {
    var asking = new XMLHttpRequest();
    asking.open("GET", "/keeper/now");
    asking.timeout = 8000;
    asking.onload = function () {
      if (asking.status !== 200) { location.reload(); return; }
      /* Not under a thumb that is just pressing. */
      if (now.querySelector("button:active")) { setTimeout(look, 500); return; }
      var at = document.activeElement, held = at && now.contains(at) ? at.value : null;
      now.innerHTML = asking.responseText;
      if (held) Array.prototype.forEach.call(now.querySelectorAll("button"), function (b) { if (b.value === held) b.focus(); });
    };
    asking.send();
  }
  function connect() {
    stream = new EventSource("/keeper/changes");
    stream.onmessage = function (event) { last = Date.now(); wait = 500; say(""); if (event.data === "look") look(); };
    stream.onerror = function () { stream.close(); say(LOST); look(); /* perhaps the door is shut */ setTimeout(connect, wait); wait = Math.min(2 * wait, 5000); };
  }
  setInterval(function () {
    if (Date.now() - last > 8000) say(LOST);
    if (stream.readyState !== 2 && Date.now() - last > 16000) { last = Date.now() - 8001; stream.onerror(); }
  }, 1000);
  connect();
}());
