package engine_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// layers are the engine's packages, lowest first. One imports those of lower
// layers only, never a sibling. A new package must find its place here.
var layers = [][]string{
	{"units"},
	{"doc"},
	{"aids"},
	{"load", "battery", "inverter", "panel", "sun", "charge"},
	{"plan"},
	{"yield", "link", "start"},
	{"outage"},
	{"odds"},
	{"shed", "gauge", "sizing"},
	{"card", "drill"},
	{"cmd"},
}

// plansForTests is the package of the plans that tests share.
const plansForTests = "engine/plan/plantest"

func layer(pkg string) int {
	return slices.IndexFunc(layers, func(l []string) bool { return slices.Contains(l, pkg) })
}

// split parts a path at its first slash.
func split(p string) (head, rest string) {
	head, rest, _ = strings.Cut(p, "/")
	return head, rest
}

// forbidden says why a file may not import what it does; "" when it may. file
// is the path from the top of the module.
func forbidden(file, imported string) string {
	part, below := split(file)
	if browser := imported == "syscall/js" || imported == "github.com/vugu/vugu/js" ||
		strings.HasPrefix(imported, "github.com/hack-pad/safejs"); browser {
		if part != "wasm" && !strings.HasSuffix(file, "_test.go") && !strings.HasSuffix(file, "_gen.go") {
			return "only wasm touches the browser"
		}
		return ""
	}
	own, ok := strings.CutPrefix(imported, "candleclock/")
	if !ok {
		return ""
	}
	to, toBelow := split(own)
	order := []string{"engine", "ui", "wasm"}
	from, target := slices.Index(order, part), slices.Index(order, to)
	switch {
	case own == plansForTests && !strings.HasSuffix(file, "_test.go"):
		return "only tests import " + own
	case from < 0: // e2e and the like look at all of it
		return ""
	case target > from:
		return part + " is below " + to
	case part != "engine":
		return ""
	}
	pkg, _ := split(below)
	dep, _ := split(toBelow)
	a, b := layer(pkg), layer(dep)
	switch {
	case strings.HasSuffix(pkg, ".go") || pkg == dep:
		return ""
	case a < 0:
		return pkg + " has no place in the order"
	case b < 0:
		return dep + " has no place in the order"
	case b == a:
		return pkg + " and " + dep + " are siblings"
	case b > a:
		return pkg + " is below " + dep
	}
	return ""
}

// Every Go file is looked at, whatever it is built for.
func TestImportsRunOneWay(t *testing.T) {
	module := os.DirFS("..")
	seen := map[string]bool{}
	err := fs.WalkDir(module, ".", func(file string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && file != "." && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata" || d.Name() == "node_modules"):
			return fs.SkipDir
		case d.IsDir() || path.Ext(file) != ".go":
			return nil
		}
		src, err := fs.ReadFile(module, file)
		if err != nil {
			return err
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, src, parser.ImportsOnly)
		if err != nil {
			t.Errorf("%v", err)
			return nil
		}
		part, _ := split(file)
		seen[part] = true
		for _, i := range parsed.Imports {
			imported, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				t.Errorf("%s: %v", file, err)
			} else if why := forbidden(file, imported); why != "" {
				t.Errorf("%s imports %s: %s", file, imported, why)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"engine", "ui", "wasm"} {
		if !seen[part] {
			t.Errorf("no Go file was seen in %s", part)
		}
	}
}

func TestForbidden(t *testing.T) {
	for _, c := range []struct {
		file, imported string
		allowed        bool
	}{
		{"engine/plan/plan.go", "candleclock/engine/load", true},
		{"engine/plan/plan.go", "candleclock/engine/outage", false},
		{"engine/load/load.go", "candleclock/engine/battery", false},
		{"engine/start/start.go", "candleclock/engine/yield", false},
		{"engine/odds/runtime_test.go", "candleclock/engine/sizing", false},
		{"engine/charge/fuel.go", "candleclock/engine/aids", true},
		{"engine/aids/fuel.go", "candleclock/engine/charge", false},
		{"engine/cmd/reckon/main.go", "candleclock/engine/card", true},
		{"engine/card/card.go", "candleclock/engine/cmd/reckon", false},
		{"engine/sun/internal/pack/main.go", "candleclock/engine/sun", true},
		{"engine/tools/tools.go", "candleclock/engine/units", false},
		{"engine/odds/plan_test.go", "candleclock/engine/plan/plantest", true},
		{"engine/odds/runtime.go", "candleclock/engine/plan/plantest", false},
		{"engine/plan/plan.go", "candleclock/engine/plan/plantest", false},
		{"engine/load/load_test.go", "candleclock/engine/plan/plantest", false},
		{"engine/plan/plantest/any.go", "candleclock/engine/outage", false},
		{"ui/app.go", "candleclock/engine/plan/plantest", false},
		{"wasm/main.go", "candleclock/engine/plan/plantest", false},
		{"e2e/states.go", "candleclock/engine/plan/plantest", false},
		{"e2e/states_test.go", "candleclock/engine/plan/plantest", true},
		{"engine/plan/plan.go", "candleclock/ui", false},
		{"engine/plan/plan.go", "candleclock/wasm", false},
		{"engine/plan/plan.go", "syscall/js", false},
		{"engine/plan/plan.go", "time", true},
		{"ui/app.go", "candleclock/engine/plan", true},
		{"ui/app.go", "candleclock/ui/say", true},
		{"ui/app.go", "candleclock/wasm", false},
		{"ui/app.go", "syscall/js", false},
		{"ui/app.go", "github.com/hack-pad/safejs", false},
		{"ui/app.go", "github.com/hack-pad/safejs/catch", false},
		{"ui/0_components_gen.go", "github.com/vugu/vugu/js", true},
		{"ui/app_test.go", "syscall/js", true},
		{"wasm/main.go", "syscall/js", true},
		{"wasm/main.go", "candleclock/ui", true},
		{"e2e/page_test.go", "candleclock/engine/plan", true},
	} {
		if why := forbidden(c.file, c.imported); (why == "") != c.allowed {
			t.Errorf("%s imports %s: got %q, allowed: %v", c.file, c.imported, why, c.allowed)
		}
	}
}
