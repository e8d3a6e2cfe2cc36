package plan_test

import (
	"os"
	"path/filepath"
	"testing"

	"cuewright/plan"
)

// TestCommon: the plan wins, by names and key by key; the count and lists are taken as a whole; paths are from the common
// file's folder, and positions in it name it.
func TestCommon(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	common := write("shared/coach.yaml", `coach: Gull Lane
units: mph
voice: voices/anna
efforts:
  even: {speed: 5, incline: 1}
  rise: {speed: 6, incline: 2, cadence: 170}
calls: {left: [2m, 1m], ahead: 15s, count: {from: 3, with: words}}
bed: {file: tide.mp3, level: -9}
`)
	p, problems, err := plan.Load(write("plans/x.yaml", `class: X
common: ../shared/coach.yaml
efforts:
  rise: {speed: 7, incline: 3}
main: [{effort: even, for: 2m}, {effort: rise, for: 2m}]
calls: {left: [30s], count: {with: both}}
bed: {file: own.mp3}
`))
	if err != nil || len(problems) > 0 {
		t.Fatal(problems, err)
	}
	rise, _ := p.Efforts.Get("rise")
	even, _ := p.Efforts.Get("even")
	calls := p.Calls
	if p.Coach.Value != "Gull Lane" || p.Unit() != "mph" || rise.Cadence.Pos.IsSet() || rise.Incline.Value != 30 || len(p.Efforts.Keys) != 2 {
		t.Errorf("%+v", p.Shared)
	}
	if len(calls.Left) != 1 || calls.Ahead.Value.String() != "15s" || calls.Count.From.Value != 5 || calls.Count.With.Value != "both" {
		t.Errorf("calls %+v", calls)
	}
	if p.Voice.Value != filepath.Join("..", "shared", "voices", "anna") || p.Bed.File.Value != "own.mp3" || p.Bed.Level.Value != -90 {
		t.Errorf("voice %s, bed %+v", p.Voice.Value, p.Bed)
	}
	if even.Pos.In != common || even.Pos.Line != 5 || rise.Pos.In != "" || p.CommonFile != common {
		t.Errorf("even stands at %+v, rise at %+v; common is %s", even.Pos, rise.Pos, p.CommonFile)
	}
}
