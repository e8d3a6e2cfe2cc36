package main

import (
	"context"
	"os"
	"testing"

	"cuewright/testdata/golden"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(cached{m}, map[string]func(){
		"cuewright": func() { os.Exit(run(context.Background(), os.Args[1:], os.Stdout, os.Stderr)) },
		"mutate":    mutate,
	})
}

// cached runs the tests with a cache of their own: none writes into that of whoever runs
// them, and the demo voice is decoded once.
type cached struct{ *testing.M }

func (c cached) Run() int {
	dir, err := os.MkdirTemp("", "cuewright-test-*")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	os.Setenv("CUEWRIGHT_CACHE", dir)
	return c.M.Run()
}

// TestScripts runs the program as a user would; the scripts in testdata/scripts
// tell what it prints and leaves behind. -update rewrites what they compare with.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "../../testdata/scripts",
		UpdateScripts:       golden.Update(),
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("CUEWRIGHT_CACHE", os.Getenv("CUEWRIGHT_CACHE")) // of TestMain: the demo voice is decoded once
			return nil
		},
	})
}
