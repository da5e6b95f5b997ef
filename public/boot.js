// Starts the planner's program, keeps the page on this device, and is still
// there when the program is not: everything here works without Go. A page that
// is a single file (ui/onefile) has the program in #program, packed, and perhaps
// a plan in #plan; it asks nothing of any host.
//
// documentElement's data-run says what is in view (see site.css):
//   absent    the paper sheet: no script, or no WebAssembly
//   starting  the prerendered page, inert
//   slow      the same for long, and the paper sheet below it
//   running   the page, alive
//   stopped   the page as last drawn, inert, and the paper sheet below it
"use strict";
(() => {
  const root = document.documentElement;
  const {wasm, wasmIntegrity, errand} = document.currentScript.dataset;
  const single = !wasm;
  const able = typeof WebAssembly === "object" // missing where a browser is locked down
    && (!single || typeof DecompressionStream === "function");
  const get = async (options) => {
    if (single) return unpack();
    const response = await fetch(wasm, {integrity: wasmIntegrity, ...options});
    if (!response.ok) throw new Error(wasm + ": " + response.status);
    return response;
  };

  // Asked for while the page is still being read. Whoever awaits it later
  // hears of a failure; until then nobody need be told.
  const early = able && !single ? get() : null;
  early?.catch(() => {});
  if (able) root.dataset.run = "starting";
  // One of the other scripts may get lost where a network wavers, or a browser
  // has just lost its worker: it is asked for once more, past the browser's cache.
  const came = new WeakSet();
  document.addEventListener("load", (event) => came.add(event.target), true);
  const scripts = () => Promise.all([...document.scripts].filter((old) => old.defer && !came.has(old)).map((old) =>
    new Promise((done) => {
      const script = document.createElement("script");
      script.onload = script.onerror = done;
      script.integrity = old.integrity;
      script.src = old.src + "?again";
      old.replaceWith(script);
    })));
  document.addEventListener("DOMContentLoaded", () => {
    const unstarted = document.getElementById("unstarted");
    if (!unstarted) return cutOff();
    if (single) note(); // before anything is changed: it is handed on as it came
    unstarted.hidden = true;
    document.getElementById("notice-reload").addEventListener("click", () => location.reload());
    document.getElementById("notice-update").addEventListener("click", update);
    if (![...document.querySelectorAll("link[rel=stylesheet]")].every(arrived)) {
      say("A part of this page did not arrive, so it looks odd. Its figures are not touched. Reload when you are connected.");
    }
    if (able) start();
    else unable();
  });

  // cutOff is for a page that ends before all that this script needs of it.
  function cutOff() {
    delete root.dataset.run;
    const p = document.createElement("p");
    p.id = "cut-off";
    p.className = "notice";
    p.textContent = "This page did not arrive whole. What you saved is not touched. Reload it when you are connected.";
    document.body.prepend(p);
  }

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
    setTimeout(() => {
      if (root.dataset.run !== "starting") return;
      root.dataset.run = "slow";
      say("The planner is slow to come. It starts by itself once it is here; until then, the sheet below works on paper.");
    }, 20000);
    try {
      await scripts();
      const go = new Go();
      const made = await instantiate(go.importObject);
      program = made.module;
      await go.run(made.instance); // ends only by a panic
    } catch (err) {
      console.error(err);
      if (coming()) return stop(unstarted);
    }
    stop(stopped);
  }

  const coming = () => root.dataset.run === "starting" || root.dataset.run === "slow";

  let program; // compiled, for the workers

  async function instantiate(imports) {
    // What came may have been damaged, and be in the browser's cache like that.
    const response = await (early ?? get()).catch(() => get({cache: "reload"}));
    try {
      return await WebAssembly.instantiateStreaming(response, imports);
    } catch {
      // The host's media type is wrong, or the browser is old. The body is
      // used up: fetch again.
      return WebAssembly.instantiate(await (await get()).arrayBuffer(), imports);
    }
  }

  // note keeps the text of the single file as it came, to be handed on again.
  // The program is by far the most of it, and is kept apart.
  let shell = "", packed = "";
  function note() {
    const program = document.getElementById("program"); // missing when the file was cut off
    if (!program) return;
    packed = program.textContent;
    program.textContent = "";
    const run = root.dataset.run;
    delete root.dataset.run; // not the file's
    shell = "<!doctype html>\n" + root.outerHTML;
    if (run) root.dataset.run = run;
  }

  function own() {
    const tag = 'id="program">';
    const at = shell.lastIndexOf(tag) + tag.length;
    return shell.slice(0, at) + packed + shell.slice(at);
  }

  function unpack() {
    const text = atob(packed);
    const bytes = new Uint8Array(text.length);
    for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
    const program = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    return new Response(program, {headers: {"Content-Type": "application/wasm"}});
  }

  // enclosedErrand is the address of the worker's script in the single file.
  function enclosedErrand() {
    const script = document.getElementById("errand").textContent;
    return URL.createObjectURL(new Blob([script], {type: "text/javascript"}));
  }

  const stopped = "The planner has stopped. What you saved is kept. Reload to go on.";
  const unstarted = single
    ? "The planner could not start. This file may have been cut off or changed on its way: ask for it again. Until then, the sheet below works on paper."
    : "The planner could not start. What you saved is kept. Reload to try again; until then, the sheet below works on paper.";

  function stop(words) {
    if (root.dataset.run === "stopped") return;
    root.dataset.run = "stopped";
    document.getElementById("app").inert = true; // its handlers are gone
    say(words);
    // A damaged copy may be the cause, and a newer version the cure.
    keep().then(() => registration?.active?.postMessage("mend"));
  }

  function unable() {
    say("This browser cannot run the planner: it is too old, or its WebAssembly is switched off. The sheet below works on paper.");
    document.getElementById("notice-reload").hidden = true;
    keep();
  }

  function say(words) {
    document.getElementById("notice-text").textContent = words;
    document.getElementById("notice").hidden = false;
  }

  // The page's copy on this device. The words are those of wasm/site.go.
  let site = single ? "single" : "unknown";
  let registration = null;
  let watching = false; // the worker's events are listened to
  let old = null;       // the worker that this page came from
  let asked = false;    // the person wants the waiting version
  let taken = false;    // another page took it, and this one is the old version
  let lost = false;     // what was kept has been cleared, and could not be kept anew
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
    if (single) return;
    const workers = navigator.serviceWorker;
    if (!workers) return tell("online");
    if (registration) {
      registration.update().catch(() => {}); // not waited for: it may take minutes to fail
      if (lost) check();
      return;
    }
    if (!watching) {
      watching = true;
      old = workers.controller;
      workers.addEventListener("controllerchange", () => {
        if (asked) return location.reload();
        if (!workers.controller) { // cleared away under the page
          old = null;
          return check();
        }
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
  // offered or relied on: only what answers is ours. It gets the page once that
  // is closed, so one that is ours is asked for soon, and a few times again.
  const ours = new WeakMap(); // worker -> whether it has answered
  function isOurs(worker) {
    if (worker && !ours.has(worker)) {
      ours.set(worker, false);
      let timer;
      const again = (ms) => {
        timer = setTimeout(() => {
          if (worker.state === "redundant") return;
          registration.update().catch(() => {});
          if (ms < 200000) again(2 * ms);
        }, ms);
      };
      again(5000);
      const {port1, port2} = new MessageChannel();
      port1.onmessage = () => {
        clearTimeout(timer);
        ours.set(worker, true);
        port1.close();
        look();
      };
      worker.postMessage("whose", [port2]);
    }
    return ours.get(worker);
  }

  // check looks whether what was kept is still there: a browser may clear it under
  // the open page. If not, it is kept anew, and not called kept until it is.
  let checking = false;
  async function check() {
    if (single || !registration || checking) return;
    checking = true;
    lost = false;
    try {
      if (await answers(registration.active, "whole", 5000)) return;
      tell("keeping");
      const there = await navigator.serviceWorker.getRegistration().catch(() => null);
      if (!there?.active) {
        registration = old = null; // it went with the rest
        await keep();
      }
      // A browser may bring the old one back, and nothing of what it kept.
      const active = (registration ?? there)?.active;
      if (active) lost = !await answers(active, "mend", 60000);
    } finally {
      checking = false;
      look();
    }
  }

  // answers asks a worker something, and is false where none or a no comes.
  const answers = (worker, question, ms) => new Promise((done) => {
    if (!worker) return done(false);
    const {port1, port2} = new MessageChannel();
    port1.onmessage = (event) => done(event.data);
    setTimeout(done, ms, false);
    worker.postMessage(question, [port2]);
  });

  function look() {
    if (!registration || checking) return;
    const {installing, waiting, active} = registration;
    for (const worker of [installing, waiting, active]) {
      if (worker) worker.onstatechange = look;
    }
    if (taken || active && isOurs(waiting)) tell("outdated");
    else if (lost) tell("online");
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
    if (!document.hidden && !coming()) keep();
  });

  // What the program needs of this script.
  window.candleclock = {
    // usable is called once, when the page has been drawn and answers.
    usable() {
      if (root.dataset.run === "slow") document.getElementById("notice").hidden = true;
      root.dataset.run = "running";
      keep();
    },
    // onSite has every change of the site's state told to heard, beginning now.
    onSite(heard) {
      hear = heard;
      heard(site);
    },
    update,
    // check looks whether the page is still kept on this device.
    check,
    // worker starts a worker with an errand; it throws where there is none.
    worker(question) {
      const worker = new Worker(errand ?? enclosedErrand());
      worker.postMessage({module: program, errand: question});
      return worker;
    },
    // own is the single file's own text, inside at most so many letters of the
    // plan in it; undefined where the page is no single file.
    own: () => single ? own() : undefined,
    inside: (most) => single ? document.getElementById("plan")?.textContent.trim().slice(0, most) : undefined,
    // home is where the single file was made; "" when it does not know.
    get home() {
      const home = single ? document.getElementById("plan")?.dataset.home ?? "" : undefined;
      return home === "" && location.protocol.startsWith("http") ? undefined : home;
    },
  };
})();
