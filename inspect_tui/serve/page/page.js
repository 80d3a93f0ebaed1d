"use strict";
// The line to the app is the terminal's own: keys on the page send what a keyboard would.
let line = null;
const Usual = WebSocket;
window.WebSocket = class extends Usual {
  constructor(...about) {
    super(...about);
    line = this;
    let opened = false;
    this.addEventListener("open", () => { opened = true; });
    this.addEventListener("close", () => { ended(opened); });
  }
};

// Why there is no line: it ended, it was never had since other tabs have theirs, or nobody answers.
async function ended(opened) {
  const answers = await fetch("static/css/page.css").then((answer) => answer.ok, () => false);
  let words = "The program has ended. What was saved is on the disk.";
  if (!answers) words = "The computer no longer answers. What was saved is on its disk.";
  else if (!opened) words = "The program is open in another tab. Close it there, then:";
  document.getElementById("why").textContent = words;
}

const KEYS = [
  ["7"], ["8"], ["9"], ["½"], ["¼"], ["?"], ["⌫", "\x7f", "delete"], ["Esc", "\x1b"],
  ["4"], ["5"], ["6"], ["/"], ["¾"], ["-"], ["+"], ["Unit", null],
  ["1"], ["2"], ["3"], ["0"], [","], ["."], [";"], ["Space", " "],
  ["▲", "\x1b[A", "up"], ["▼", "\x1b[B", "down"], ["◀ step", "\x1b[5~"], ["step ▶", "\x1b[6~"],
  ["abc", "letters", "letters"], ["Photo", "photo"], ["Enter", "\r", "enter", "wide"],
];
// F1 is a tap on its words in the last line of the screen.
const UNITS = ["mm", "in", "psi", "kPa", "bar", "turns", "degC", "degF", "N.m", "ft-lb", "km", "V", "ohm", "%", "L", "mL"];

function send(text) {
  if (line !== null && line.readyState === Usual.OPEN) line.send(JSON.stringify(["stdin", text]));
}

function button(shown, text, name, look) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = shown;
  if (name) made.setAttribute("aria-label", name);
  if (look) made.className = look;
  // The terminal keeps the focus, so that a real keyboard goes on typing there.
  made.addEventListener("pointerdown", (event) => event.preventDefault());
  made.addEventListener("click", () => {
    if (text === null) document.getElementById("units").toggleAttribute("hidden");
    else if (text === "letters") letters();
    else send(text === undefined ? shown : text);
  });
  return made;
}

// The tablet's own keyboard, for words; once more puts it away.
function letters() {
  const typing = document.querySelector(".xterm-helper-textarea");
  if (typing === null) return;
  typing.blur();
  typing.inputMode = typing.inputMode === "none" ? "text" : "none";
  typing.focus();
}

function say(words) {
  document.getElementById("said").textContent = words;
}

const REFUSED = { 409: "No session is open.", 413: "The photo is too large (25 MB at most).", 415: "That is no photo.", 507: "The disk is full: the photo was not taken." };

function camera() {
  const made = document.getElementById("camera").content.cloneNode(true).firstElementChild;
  const input = made.querySelector("input");
  input.addEventListener("change", async () => {
    if (input.files.length === 0) return;
    say("Sending the photo ...");
    try {
      const answer = await fetch("picture", { method: "POST", body: input.files[0] });
      say(answer.ok ? "" : REFUSED[answer.status] || "The photo was not taken.");
    } catch (error) {
      say("The photo did not arrive.");
    }
    input.value = "";
  });
  return made;
}

addEventListener("DOMContentLoaded", () => {
  const keys = document.getElementById("keys");
  for (const [shown, text, name, look] of KEYS) {
    keys.append(text === "photo" ? camera() : button(shown, text, name, look));
  }
  const units = document.getElementById("units");
  for (const unit of UNITS) units.append(button(unit, " " + unit));
  // The row of units takes its place from the terminal, which then fits itself anew.
  new ResizeObserver(() => dispatchEvent(new Event("resize"))).observe(document.getElementById("terminal"));
  const waiting = setInterval(() => {
    if (document.body.classList.contains("-loaded")) {
      clearInterval(waiting);
      touch(document.querySelector(".xterm-helper-textarea"), document.querySelector(".xterm-screen"));
    }
  }, 50);
});

// The terminal is there: the keyboard's keys go to it, a finger scrolls it.
function touch(typing, screen) {
  typing.inputMode = "none"; // the page has its own keys
  typing.focus();
  let y = 0;
  screen.addEventListener("touchstart", (event) => { y = event.touches[0].clientY; }, { passive: true });
  screen.addEventListener("touchmove", (event) => {
    const { clientX, clientY } = event.touches[0];
    event.preventDefault();
    for (; Math.abs(clientY - y) >= 24; y += 24 * Math.sign(clientY - y)) {
      screen.dispatchEvent(new WheelEvent("wheel", {
        deltaY: 24 * Math.sign(y - clientY), clientX, clientY, bubbles: true, cancelable: true,
      }));
    }
  }, { passive: false });
}
