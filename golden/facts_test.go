package golden

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gainwright/model/steps"
)

// TestNoRuleAsksForAKind holds that a kind of step is known in model/steps alone: nowhere else is a text compared with the name of one, or a
// value with a name that a lowering makes. Rules and judgements read facts (program.Facts). The reader of the spec (model/spec) knows no kinds; what
// it compares are keys; gen/campaign cuts emitted texts.
func TestNoRuleAsksForAKind(t *testing.T) {
	kinds := map[string]bool{"inputs": true, "output": true}
	for _, k := range steps.Kinds() {
		kinds[k.Name] = true
	}
	seen := 0
	for _, root := range []string{"../model", "../gen", "../cmd"} {
		err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if path == "../model/steps" || path == "../model/spec" || path == "../gen/campaign" {
				return filepath.SkipDir
			}
			if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return nil
			}
			seen++
			places := token.NewFileSet()
			file, err := parser.ParseFile(places, path, nil, 0)
			if err != nil {
				return err
			}
			for _, said := range compared(file, kinds) {
				t.Errorf("%s: %s", places.Position(said.Pos()), said.Value)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if seen < 200 {
		t.Errorf("%d files were looked at", seen)
	}
}

// made is what the names of values that a lowering makes end in; _test is an end of names of Go.
var made = regexp.MustCompile(`^_[a-z_0-9]+$`)

// compared lists the names of kinds that something is compared with, and the ends of names that a lowering makes: by == and !=, in a case, and in
// what cuts texts.
func compared(file ast.Node, kinds map[string]bool) (out []*ast.BasicLit) {
	look := func(list ...ast.Expr) {
		for _, e := range list {
			ast.Inspect(e, func(n ast.Node) bool {
				lit, ok := n.(*ast.BasicLit)
				if !ok || lit.Kind != token.STRING {
					return true
				}
				if text, err := strconv.Unquote(lit.Value); err == nil && (kinds[text] || made.MatchString(text) && text != "_test") {
					out = append(out, lit)
				}
				return true
			})
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.BinaryExpr:
			if n.Op == token.EQL || n.Op == token.NEQ {
				look(n.X, n.Y)
			}
		case *ast.CaseClause:
			look(n.List...)
		case *ast.CallExpr:
			if f, ok := n.Fun.(*ast.SelectorExpr); ok && (strings.HasSuffix(f.Sel.Name, "Prefix") || strings.HasSuffix(f.Sel.Name, "Suffix")) {
				look(n.Args...)
			}
		}
		return true
	})
	return out
}

// TestAQuestionForAKindIsSeen tries what TestNoRuleAsksForAKind is to find.
func TestAQuestionForAKindIsSeen(t *testing.T) {
	const code = `package p
func f(s S, ops []Op) {
	if s.Kind == "pid" || "hold" != s.Kind { return }
	switch s.Kind { case "sum", "notch": }
	if op.Name == s.Name+"_trip" || strings.HasSuffix(op.Name, "_pull") { return }
	f["clamp"] = s.Name + "_start"
}`
	file, err := parser.ParseFile(token.NewFileSet(), "p.go", code, 0)
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	for _, said := range compared(file, map[string]bool{"pid": true, "hold": true, "sum": true, "clamp": true}) {
		found = append(found, said.Value)
	}
	if got := strings.Join(found, " "); got != `"pid" "hold" "_trip" "_pull" "sum"` && got != `"pid" "hold" "sum" "_trip" "_pull"` {
		t.Errorf("found %s", got)
	}
}
