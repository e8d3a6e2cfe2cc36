package problem_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"cuewright/plan/problem"
)

func ExampleProblem() {
	found := []problem.Problem{
		{Severity: problem.Warning, Kind: "gap", File: "class.yaml", Pos: problem.Pos{Line: 7, Column: 5}, Timed: true, At: 90 * time.Second, Message: "nothing is said for 1:00"},
		{Severity: problem.Error, Kind: problem.Plan, File: "class.yaml", Pos: problem.Pos{Line: 9, Column: 12}, Message: "9 % is too steep"},
	}
	problem.Sort(found)
	for _, p := range found {
		fmt.Println(p)
	}
	// Output:
	// class.yaml:9:12: error: 9 % is too steep
	// class.yaml:7:5: 01:30.0: warning: gap: nothing is said for 1:00
}

// TestKinds holds the list of kinds to the kinds there are: every constant of type Kind
// in the tree stands in it, each of it is a constant of one room, and no room writes a
// kind without its constant.
func TestKinds(t *testing.T) {
	declared := map[string]string{} // kind to file
	literal := func(e ast.Expr) (string, bool) {
		lit, ok := e.(*ast.BasicLit)
		if !ok || lit.Kind != token.STRING {
			return "", false
		}
		s, err := strconv.Unquote(lit.Value)
		return s, err == nil
	}
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		tree, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(tree, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.ValueSpec:
				name := ""
				switch typ := n.Type.(type) {
				case *ast.SelectorExpr:
					if x, ok := typ.X.(*ast.Ident); ok && x.Name == "problem" && typ.Sel.Name == "Kind" {
						name = typ.Sel.Name
					}
				case *ast.Ident:
					if strings.HasSuffix(filepath.Dir(path), "problem") {
						name = typ.Name
					}
				}
				for _, v := range n.Values {
					if s, ok := literal(v); ok && name == "Kind" {
						if other := declared[s]; other != "" {
							t.Errorf("%s and %s both declare the kind %q", path, other, s)
						}
						declared[s] = path
					}
				}
			case *ast.CompositeLit:
				typ, ok := n.Type.(*ast.SelectorExpr)
				if !ok || typ.Sel.Name != "Problem" {
					break
				}
				for _, e := range n.Elts {
					if kv, ok := e.(*ast.KeyValueExpr); ok {
						key, _ := kv.Key.(*ast.Ident)
						if s, ok := literal(kv.Value); ok && key != nil && key.Name == "Kind" {
							t.Errorf("%s writes the kind %q without a constant", path, s)
						}
					}
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{}
	for _, k := range problem.Kinds {
		listed[string(k.Kind)] = true
		if declared[string(k.Kind)] == "" {
			t.Errorf("no room declares a constant for the kind %q of the list", k.Kind)
		}
		if k.Means == "" {
			t.Errorf("the kind %q has no meaning", k.Kind)
		}
	}
	for kind, path := range declared {
		if !listed[kind] {
			t.Errorf("the kind %q of %s is not in problem.Kinds", kind, path)
		}
	}
}
