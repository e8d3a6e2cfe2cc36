package main

import (
	"context"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"cuewright": func() { os.Exit(run(context.Background(), os.Args[1:], os.Stdout, os.Stderr)) },
	})
}

// TestScripts runs the program as a user would; the scripts in testdata/scripts
// tell what it prints and leaves behind. -update rewrites what they compare with.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "../../testdata/scripts",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
	})
}
