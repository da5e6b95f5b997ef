// Starts the planner's program, keeps the page on this device, and is still
// there when the program is not: everything here works without Go.
//
// documentElement's data-run says what is in view (see site.css):
//   absent    the paper sheet: no script, or no WebAssembly
//   starting  the prerendered page, inert
//   running   the page, alive
//   stopped   the page as last drawn, inert, and the paper sheet below it
"use strict";
(() => {
  const root = document.documentElement;
  const {wasm, hash} = document.currentScript.dataset;
  const able = typeof WebAssembly === "object"; // missing in Lockdown Mode and its like
  const get = async (options) => {
    const response = await fetch(wasm, {integrity: hash, ...options});
    if (!response.ok) throw new Error(wasm + ": " + response.status);
    return response;
  };

  // Asked for while the page is still being read. Whoever awaits it later
  // hears of a failure; until then nobody need be told.
  const early = able ? get() : null;
  early?.catch(() => {});
  if (able) root.dataset.run = "starting";
  document.addEventListener("DOMContentLoaded", () => {
    document.getElementById("notice-reload").addEventListener("click", () => location.reload());
    document.getElementById("notice-update").addEventListener("click", update);
    document.getElementById("unstarted").hidden = true;
    if (![...document.querySelectorAll("link[rel=stylesheet]")].every(arrived)) {
      say("A part of this page did not arrive, so it looks odd. Its figures are not touched. Reload when you are connected.");
    }
    if (able) start();
    else unable();
  });

  function arrived(link) {
    try {
      return link.sheet.cssRules.length > 0;
    } catch { // there is none, or it may not be looked into
      return false;
    }
  }

  async function start() {
    // An exception inside WebAssembly (stack or memory used up) passes Go by.
    addEventListener("error", (event) => {
      if (event.error instanceof WebAssembly.RuntimeError || event.error instanceof RangeError) stop(stopped);
    });
    try {
      const go = new Go();
      const {instance} = await instantiate(go.importObject);
      await go.run(instance); // ends only by a panic
    } catch (err) {
      console.error(err);
      if (root.dataset.run === "starting") return stop(unstarted);
    }
    stop(stopped);
  }

  async function instantiate(imports) {
    // What came may have been damaged, and be in the browser's cache like that.
    const response = await early.catch(() => get({cache: "reload"}));
    try {
      return await WebAssembly.instantiateStreaming(response, imports);
    } catch {
      // The host's media type is wrong, or the browser is old. The body is
      // used up: fetch again.
      return WebAssembly.instantiate(await (await get()).arrayBuffer(), imports);
    }
  }

  const stopped = "The planner has stopped. What you saved is kept. Reload to go on.";
  const unstarted = "The planner could not start. What you saved is kept. Reload to try again; until then, the sheet below works on paper.";

  function stop(words) {
    if (root.dataset.run === "stopped") return;
    root.dataset.run = "stopped";
    document.getElementById("app").inert = true; // its handlers are gone
    say(words);
    // A damaged copy may be the cause, and a newer version the cure.
    keep().then(() => registration?.active?.postMessage("mend"));
  }

  function unable() {
    say("This browser cannot run the planner: it has no WebAssembly, or it is switched off. The sheet below works on paper.");
    document.getElementById("notice-reload").hidden = true;
    keep();
  }

  function say(words) {
    document.getElementById("notice-text").textContent = words;
    document.getElementById("notice").hidden = false;
  }

  // The page's copy on this device. The words are those of wasm/site.go.
  let site = "unknown";
  let registration = null;
  let watching = false; // the worker's events are listened to
  let asked = false;    // the person wants the waiting version
  let taken = false;    // another page took it, and this one is the old version
  let hear = () => {};

  function tell(state) {
    if (state === site) return;
    site = state;
    document.getElementById("notice-update").hidden = state !== "outdated";
    hear(state);
  }

  // keep registers the service worker, or asks whether there is a newer one.
  // Failures are silent: in an outage they are the rule.
  async function keep() {
    const workers = navigator.serviceWorker;
    if (!workers) return tell("online");
    if (registration) {
      registration.update().catch(() => {}); // not waited for: it may take minutes to fail
      return;
    }
    if (!watching) {
      watching = true;
      let old = workers.controller;
      workers.addEventListener("controllerchange", () => {
        if (asked) return location.reload();
        if (old) taken = true; // there is none before the first visit is taken over
        old = workers.controller;
        look();
      });
      workers.addEventListener("message", (event) => {
        if (root.dataset.run === "stopped") say(event.data);
      });
    }
    try {
      registration = await workers.register("sw.js", {updateViaCache: "none"});
    } catch {
      return tell("online");
    }
    registration.addEventListener("updatefound", look);
    look();
  }

  // Browsers take any script that runs for a worker, an empty one too, as hosts
  // serve half-way through an upload. Such a one keeps nothing and must not be
  // offered or relied on: only what answers is ours.
  const ours = new WeakMap(); // worker -> whether it has answered
  function isOurs(worker) {
    if (worker && !ours.has(worker)) {
      ours.set(worker, false);
      const {port1, port2} = new MessageChannel();
      port1.onmessage = () => {
        ours.set(worker, true);
        port1.close();
        look();
      };
      worker.postMessage("whose", [port2]);
    }
    return ours.get(worker);
  }

  function look() {
    if (!registration) return;
    const {installing, waiting, active} = registration;
    for (const worker of [installing, waiting, active]) {
      if (worker) worker.onstatechange = look;
    }
    if (taken || active && isOurs(waiting)) tell("outdated");
    else if (active?.state === "activated" && isOurs(active)) tell("kept");
    else if (installing || waiting || active) tell("keeping");
    else tell("online"); // what came did not match, or there was no room
  }

  // update takes the waiting version, for all open pages, and reloads this one.
  function update() {
    asked = true;
    if (registration?.waiting) registration.waiting.postMessage("take");
    else location.reload();
  }

  // Installed apps stay open for weeks: look for a newer version on return.
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden && root.dataset.run !== "starting") keep();
  });

  // What the program needs of this script.
  window.candleclock = {
    // usable is called once, when the page has been drawn and answers.
    usable() {
      root.dataset.run = "running";
      keep();
    },
    // onSite has every change of the site's state told to heard, beginning now.
    onSite(heard) {
      hear = heard;
      heard(site);
    },
    update,
  };
})();
