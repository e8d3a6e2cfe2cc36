package main

import (
	"context"
	"os"
	"testing"

	"cuewright/testdata/golden"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	// No test writes into the cache of whoever runs it. The program run by a script
	// comes here too, with the cache that the script's test has chosen.
	if os.Getenv("CUEWRIGHT_CACHE") == "" {
		os.Setenv("CUEWRIGHT_CACHE", "off")
	}
	testscript.Main(m, map[string]func(){
		"cuewright": func() { os.Exit(run(context.Background(), os.Args[1:], os.Stdout, os.Stderr)) },
		"mutate":    mutate,
	})
}

// TestScripts runs the program as a user would; the scripts in testdata/scripts
// tell what it prints and leaves behind. -update rewrites what they compare with.
func TestScripts(t *testing.T) {
	cache := t.TempDir() // for all scripts: they decode the demo voice once
	testscript.Run(t, testscript.Params{
		Dir:                 "../../testdata/scripts",
		UpdateScripts:       golden.Update(),
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("CUEWRIGHT_CACHE", cache)
			return nil
		},
	})
}
