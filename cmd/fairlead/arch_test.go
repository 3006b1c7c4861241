package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// A floor is a folder of the house and what it may import beyond the standard
// library, and which parts of the standard library it must not touch.
type floor struct {
	dir    string
	may    []string // import path prefixes outside std
	banned []string // std packages
}

// The floors, most particular folder first: the first whose dir contains a
// package decides. Arrows point down only.
var floors = []floor{
	{dir: "analytics/quantity", may: nil, banned: impure},
	{dir: "analytics", may: []string{"fairlead/analytics", "gonum.org/v1/gonum"}, banned: impure},
	{dir: "models/modelstest", may: []string{"fairlead/models", "fairlead/analytics/quantity", "github.com/jackc/pgx"}, banned: []string{"net/http", "html/template"}},
	{dir: "models", may: []string{
		"fairlead/models", "fairlead/analytics/quantity", "gorm.io/", "modernc.org/sqlite",
		"github.com/jackc/pgx", "github.com/pressly/goose/v3", "github.com/google/uuid", "golang.org/x/text",
	}, banned: []string{"net/http", "html/template"}},
	{dir: "web", may: []string{"github.com/nicksnyder/go-i18n/v2", "golang.org/x/text"}, banned: []string{"database/sql"}},
	{dir: "server/followup", may: []string{"fairlead/models", "fairlead/analytics"}, banned: []string{"net/http", "html/template", "database/sql"}},
	{dir: "server/chart", may: []string{"fairlead/analytics", "github.com/go-echarts/go-echarts/v2"}, banned: []string{"net/http", "database/sql"}},
	{dir: "server/drawing", may: []string{"fairlead/analytics", "github.com/boombuler/barcode"}, banned: []string{"net/http", "database/sql", "html/template"}},
	{dir: "server/form", may: []string{"fairlead/analytics/quantity"}, banned: []string{"net/http", "database/sql", "html/template"}},
	{dir: "server/demo", may: []string{"fairlead/server/followup", "fairlead/models", "fairlead/analytics"}, banned: []string{"net/http", "html/template", "database/sql"}},
	{dir: "server", may: []string{
		"fairlead/server", "fairlead/models", "fairlead/analytics", "fairlead/web", "github.com/gin-gonic/gin",
		"github.com/alexedwards/scs/v2", "github.com/alexedwards/argon2id", "golang.org/x/text/language",
	}, banned: []string{"database/sql"}},
	{dir: "cmd/fairlead", may: []string{
		"fairlead/server", "fairlead/models", "fairlead/analytics", "fairlead/web", "github.com/spf13/cobra", "github.com/spf13/pflag",
		"github.com/schollz/progressbar/v3", "golang.org/x/term",
	}, banned: []string{"database/sql", "html/template"}},
}

// impure is what the computing floors may not touch: they read no file, clock,
// network or database and write no page.
var impure = []string{"os", "net", "log", "database/sql", "html/template", "embed"}

func TestImportsPointDownOnly(t *testing.T) {
	forEachSource(t, func(path string, file *ast.File) {
		if strings.HasSuffix(path, "_test.go") {
			return
		}
		f := floorOf(filepath.Dir(path))
		if f == nil {
			t.Errorf("%s stands on no floor of the house; give its folder one in arch_test.go", path)
			return
		}
		for _, spec := range file.Imports {
			name, _ := strconv.Unquote(spec.Path.Value)
			if why := f.refuses(name); why != "" {
				t.Errorf("%s imports %s: %s", path, name, why)
			}
		}
	})
}

// Time and chance are passed in from cmd, so that every floor below can be
// tested at any date and gives the same answer twice.
func TestNoClockOrChanceBelowCmd(t *testing.T) {
	forbidden := map[string][]string{
		"time":         {"Now", "Since", "Until"},
		"math/rand/v2": {"Int", "IntN", "Int64", "Uint64", "Float64", "NormFloat64", "Perm", "Shuffle", "N", "ExpFloat64"},
		"math/rand":    {"Int", "Intn", "Int63", "Float64", "NormFloat64", "Perm", "Shuffle", "Seed"},
	}
	forEachSource(t, func(path string, file *ast.File) {
		if strings.HasPrefix(path, "cmd/") || strings.HasSuffix(path, "_test.go") {
			return
		}
		names := localNames(file, forbidden)
		ast.Inspect(file, func(n ast.Node) bool {
			sel, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			pkg, ok := sel.X.(*ast.Ident)
			if !ok {
				return true
			}
			for _, word := range forbidden[names[pkg.Name]] {
				if sel.Sel.Name == word {
					t.Errorf("%s uses %s.%s; the clock and the source of chance are passed in", path, pkg.Name, word)
				}
			}
			return true
		})
	})
}

func TestFloorPlanRefusesArrowsUp(t *testing.T) {
	cases := []struct{ name, dir, imports string }{
		{"analytics must not know gorm", "analytics/volume", "gorm.io/gorm"},
		{"analytics must not read files", "analytics/girth", "os"},
		{"the leaf must not import its siblings", "analytics/quantity", "fairlead/analytics/girth"},
		{"models must not know the pages", "models", "fairlead/web"},
		{"models know the leaf only", "models", "fairlead/analytics/volume"},
		{"use cases must not know gin", "server/followup", "github.com/gin-gonic/gin"},
		{"server must not know gorm", "server", "gorm.io/gorm"},
		{"cmd must not know gin", "cmd/fairlead", "github.com/gin-gonic/gin"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if floorOf(c.dir).refuses(c.imports) == "" {
				t.Errorf("%s may import %s, want it refused", c.dir, c.imports)
			}
		})
	}
}

// refuses says why the floor may not import a package, or "".
func (f floor) refuses(name string) string {
	for _, b := range f.banned {
		if name == b || strings.HasPrefix(name, b+"/") {
			return "this floor must not touch it"
		}
	}
	if !strings.Contains(strings.SplitN(name, "/", 2)[0], ".") && !strings.HasPrefix(name, "fairlead/") {
		return "" // standard library
	}
	for _, prefix := range f.may {
		if name == prefix || strings.HasPrefix(name, strings.TrimSuffix(prefix, "/")+"/") {
			return ""
		}
	}
	return "not below this floor"
}

func floorOf(dir string) *floor {
	for i := range floors {
		if dir == floors[i].dir || strings.HasPrefix(dir, floors[i].dir+"/") {
			return &floors[i]
		}
	}
	return nil
}

// localNames maps the name a file uses for a package to the package's path.
func localNames(file *ast.File, paths map[string][]string) map[string]string {
	names := map[string]string{}
	for _, spec := range file.Imports {
		path, _ := strconv.Unquote(spec.Path.Value)
		if _, watched := paths[path]; !watched {
			continue
		}
		switch {
		case spec.Name != nil:
			names[spec.Name.Name] = path
		case path == "math/rand/v2":
			names["rand"] = path
		default:
			names[filepath.Base(path)] = path
		}
	}
	return names
}

func forEachSource(t *testing.T, visit func(path string, file *ast.File)) {
	t.Helper()
	root := filepath.Join("..", "..")
	seen := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		seen++
		visit(filepath.ToSlash(rel), file)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen == 0 {
		t.Fatal("no Go source found: the test looks in the wrong folder")
	}
}
