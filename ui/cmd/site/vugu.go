//go:build !wasm

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"candleclock/ui/pieces"
)

// vugu draws with a script that it evaluates from a string when it starts. The
// site's content policy forbids that, so the build takes the script from vugu's
// module, mends it, and ships it as a file that is loaded first.

// vuguOpening begins the script as vugu evaluates it. The shim below ignores
// exactly that string, so a vugu that begins otherwise must fail the build.
const vuguOpening = `(function(){if(window.vuguRender)return;`

// evalShim follows the script, which ends without a semicolon: what vugu
// evaluates is loaded already.
const evalShim = `;
(() => {
    const evaluate = window.eval;
    window.eval = (text) => String(text).startsWith("` + vuguOpening + `") ? undefined : evaluate(text);
})();
`

// vuguScript returns the script for the site, from vugu's module in dir.
func vuguScript(dir string) ([]byte, error) {
	constant, err := os.ReadFile(filepath.Join(dir, "domrender", "renderer-js-script.go"))
	if err != nil {
		return nil, err
	}
	if !strings.Contains(string(constant), `jsHelperScript = "`+vuguOpening) {
		return nil, fmt.Errorf("vugu's script in %s no longer begins with %s", dir, vuguOpening)
	}
	script, err := os.ReadFile(filepath.Join(dir, "domrender", "renderer-js-script.js"))
	if err != nil {
		return nil, err
	}
	script, err = replaceOnce(script, vuguChanges...)
	if err != nil {
		return nil, fmt.Errorf("vugu's script in %s is not the one we know: %w", dir, err)
	}
	return append(withoutComments(script), evalShim...), nil
}

// withoutComments drops the lines that are comments, or begin with vugu's mark
// for what its own build drops. The script has no such line inside a string.
func withoutComments(script []byte) []byte {
	var b strings.Builder
	for line := range strings.Lines(string(script)) {
		bare := strings.TrimSpace(line)
		if bare == "" || strings.HasPrefix(bare, "//") || strings.HasPrefix(bare, "/*DEBUG") {
			continue
		}
		b.WriteString(line)
	}
	return []byte(b.String())
}

// vuguChanges are made to vugu's script. As it comes it writes everything again
// at each drawing, which costs more than half of the time and undoes what the
// person did to what is not bound: selections, open details, typed text.
var vuguChanges = []replacement{{
	what: "what is remembered",
	old:  `    let utf8decoder = new TextDecoder();`,
	new: `    let utf8decoder = new TextDecoder();

    const writtenHTML = new WeakMap(); // element -> the innerHTML last written and not descended into since
    const openWritten = new WeakMap(); // details or dialog -> whether the page last said "open"
    const listening = new WeakMap();   // element -> {eventKey: listener}
    let drawing = false;

    // What is too long for one instruction comes in pieces, all but the last
    // under this name; content is cut anywhere, within a character too.
    const held = "` + pieces.Held + `";
    let heldText = "";
    function whole(last) {
        const text = heldText + last;
        heldText = "";
        return text;
    }
    const htmlDecoder = new TextDecoder();
    let htmlBegun = false;

    const keepsOpen = (el, name) => name === "open" && (el.localName === "details" || el.localName === "dialog");

    // What handlers read of an event. Its text is bounded: a property of more
    // than 16 KB, six bytes to the character at worst, stops the program.
    const eventFields = ["type", "key", "keyCode", "shiftKey", "ctrlKey", "altKey", "metaKey", "button", "clientX", "clientY"];
    const targetFields = ["id", "name", "value", "checked", "open", "selectedIndex"];
    const longest = 2500;
    function pick(from, names) {
        let to = {};
        for (const name of names) {
            const value = from[name];
            if (typeof value == "string") {
                to[name] = value.slice(0, longest);
            } else if (typeof value == "boolean" || typeof value == "number") {
                to[name] = value;
            }
        }
        return to;
    }`,
}, {
	what: "short strings without TextDecoder",
	old: `            var len = this.dataView.getUint32(this.offset);
`,
	new: `            var len = this.dataView.getUint32(this.offset);
            if (len < 32) {
                let text = "", i = this.offset + 4;
                const end = i + len;
                for (; i < end; i++) {
                    const byte = this.dataView.getUint8(i);
                    if (byte > 127) {
                        break;
                    }
                    text += String.fromCharCode(byte);
                }
                if (i == end) {
                    this.offset = end;
                    return text;
                }
            }
`,
}, {
	// Removing a focused element fires its blur inside the drawing. Go holds
	// the lock then, and would wait for itself for ever.
	what: "no event while drawing",
	old:  `    window.vuguRender = function () {`,
	new: `    window.vuguRender = function () {
        drawing = true;
        try {
            draw();
        } finally {
            drawing = false;
        }
    };

    function draw() {`,
}, {
	what: "an event while drawing is dropped",
	old: `                            f = function (event) {
`,
	new: `                            f = function (event) {
                                if (drawing) {
                                    return;
                                }
`,
}, {
	// The live property is what counts, not what was last written: a field
	// that the person changed is put right when the page says otherwise.
	what: "properties only when they differ",
	old:  `                        el[propName] = JSON.parse(propValueJSON);`,
	new: `                        if (propName === held) {
                            heldText += propValueJSON;
                            break;
                        }
                        const propValue = JSON.parse(whole(propValueJSON));
                        if (el[propName] !== propValue) {
                            el[propName] = propValue;
                        }`,
}, {
	what: "attributes only when they differ",
	old:  `                        el.setAttribute(attrName, attrValue);`,
	new: `                        if (attrName === held) {
                            heldText += attrValue;
                            break;
                        }
                        attrValue = whole(attrValue);
                        if (keepsOpen(el, attrName)) {
                            if (openWritten.get(el) !== true) {
                                openWritten.set(el, true);
                                el.setAttribute(attrName, attrValue);
                            }
                        } else if (el.getAttribute(attrName) !== attrValue) {
                            el.setAttribute(attrName, attrValue);
                        }`,
}, {
	what: "attributes with a namespace only when they differ",
	old:  `                        el.setAttributeNS(attrNamespace, attrName, attrValue);`,
	new: `                        if (attrName === held) {
                            heldText += attrValue;
                            break;
                        }
                        attrValue = whole(attrValue);
                        if (el.getAttributeNS(attrNamespace, attrName.slice(attrName.indexOf(":") + 1)) !== attrValue) {
                            el.setAttributeNS(attrNamespace, attrName, attrValue);
                        }`,
}, {
	// Details and dialogs are opened and closed by the person and the browser
	// too: only a change of what the page says counts.
	what: "a closing is remembered",
	old: `                        // build a list of attribute names to remove
`,
	new: `                        const closes = !state.elAttrNames.open && openWritten.get(state.el) === true;
                        if (closes) {
                            openWritten.set(state.el, false);
                        }
`,
}, {
	what: "open is left alone",
	old: `                            if (!state.elAttrNames[state.el.attributes[i].name]) {
`,
	new: `                            if (keepsOpen(state.el, state.el.attributes[i].name) && !closes) {
                                continue;
                            }
                            if (!state.elAttrNames[state.el.attributes[i].name]) {
`,
}, {
	what: "innerHTML is forgotten where vugu descends",
	old:  `                        state.nextElMove = "first_child";`,
	new: `                        state.nextElMove = "first_child";
                        writtenHTML.delete(state.el);`,
}, {
	what: "innerHTML only when it differs",
	old:  `                        state.el.innerHTML = (state.bufferedInnerHTML || "") + html;`,
	new: `                        html = (state.bufferedInnerHTML || "") + html;
                        if (writtenHTML.get(state.el) !== html) {
                            state.el.innerHTML = html;
                            writtenHTML.set(state.el, html);
                        }`,
}, {
	what: "what is read may end within a character",
	old:  `        readString() {`,
	new: `        readPiece(more) {
            const len = this.dataView.getUint32(this.offset);
            const piece = new DataView(this.dataView.buffer, this.dataView.byteOffset + this.offset + 4, len);
            this.offset += len + 4;
            return htmlDecoder.decode(piece, {stream: more});
        }

        readString() {`,
}, {
	what: "a piece of innerHTML",
	old:  `                        let htmlChunk = decoder.readString();`,
	new: `                        htmlBegun = true; // the piece may be no whole character
                        let htmlChunk = decoder.readPiece(true);`,
}, {
	what: "the last piece of innerHTML",
	old:  `                        let html = decoder.readString();`,
	new: `                        let html = htmlBegun ? decoder.readPiece(false) : decoder.readString();
                        htmlBegun = false;`,
}, {
	what: "text only when it differs",
	old: `                            // console.log("in opcodeSetText 8");
                            state.el.textContent = content;`,
	new: `                            if (state.el.data !== content) {
                                state.el.data = content;
                            }`,
}, {
	what: "the event's own fields",
	old: `                                let eventObj = {};
                                // console.log(event);
                                for (let i in event) {
                                    try {
                                        // accessing ` + "`selectionDirection`, `selectionStart`, or `selectionEnd`" + ` throws in WebKit-based browsers.
                                        let itype = typeof (event[i]);
                                        // copy primitive values directly
                                        if (itype == "boolean" || itype == "number" || itype == "string") {
                                            eventObj[i] = event[i];
                                        }
                                    } catch {}
                                }
`,
	new: `                                let eventObj = pick(event, eventFields);
`,
}, {
	what: "the fields of the event's target",
	old: `                                    eventObj.target = {};
                                    let et = event.target;
                                    for (let i in et) {
                                        try {
                                            let itype = typeof (et[i]);
                                            if (itype == "boolean" || itype == "number" || itype == "string") {
                                                eventObj.target[i] = et[i];
                                            }
                                        } catch {}
                                    }
`,
	new: `                                    eventObj.target = pick(event.target, targetFields);
`,
}, {
	what: "no listener is removed to be added again",
	old: `                            state.el.removeEventListener(eventType, f, {capture: capture, passive: passive});

                        }
`,
	new: `                        }
`,
}, {
	// An element may serve another place on the page now: the listener it had
	// there would answer too.
	what: "listeners only when they changed",
	old:  `                        state.el.addEventListener(eventType, f, {capture: capture, passive: passive});`,
	new: `                        let own = listening.get(state.el);
                        if (!own) {
                            listening.set(state.el, own = {});
                        }
                        if (own[eventKey] !== f) {
                            if (own[eventKey]) {
                                state.el.removeEventListener(eventType, own[eventKey], {capture: capture});
                            }
                            state.el.addEventListener(eventType, f, {capture: capture, passive: passive});
                            own[eventKey] = f;
                        }`,
}, {
	what: "listeners go with the element that had them",
	old:  `                        // look at all registered events for this positionID`,
	new: `                        const own = listening.get(state.el);
                        for (let k in own) {
                            if (!state.elEventKeys[k]) {
                                const [eventType, capture] = k.split("|");
                                state.el.removeEventListener(eventType, own[k], {capture: capture == "1"});
                                delete own[k];
                            }
                        }
`,
}}
