// The worker: runs the program of the page in a thread of its own, for the one
// errand that it is started with. The build puts Go's script above this.
"use strict";
onmessage = async ({data: {module, errand}}) => {
  try {
    self.errand = errand;
    const go = new Go();
    await go.run(await WebAssembly.instantiate(module, go.importObject));
  } catch (err) {
    console.error(err);
  }
  postMessage(null); // no more comes
};
