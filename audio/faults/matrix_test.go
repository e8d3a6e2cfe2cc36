package faults

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
)

// A share in percent of a fault.
type share struct {
	kind  Kind
	least float64
}

// caught is how much of each fault must be caught: what was reached when the
// rules were measured for this project.
var caught = []share{
	{Clipped, 100}, {Quiet, 100}, {Noisy, 100}, {Hum, 93}, {DC, 100}, {Rumble, 100}, {CutStart, 99}, {CutEnd, 91},
	{NarrowBand, 89}, {deadSide, 100}, {antiPhase, 100}, {Echo, 83},
}

// elsewhere are the faults that record does not make, and what tries them.
var elsewhere = map[Kind]string{
	Unreadable: "TestVoice of audio/review", Damaged: "TestVoice of audio/review", UnevenTakes: "TestVoice of audio/review",
	Unused: "TestVoice of audio/review", NoSpeech: "TestLength", Long: "TestLength",
}

// TestKinds: every kind of fault is made and caught here, or tried elsewhere.
func TestKinds(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "fault.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	kinds := 0
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok || fmt.Sprint(spec.Type) != "Kind" {
			return true
		}
		kinds++
		kind := Kind(strings.Trim(spec.Values[0].(*ast.BasicLit).Value, `"`))
		if made := slices.ContainsFunc(caught, func(c share) bool { return c.kind == kind }); made == (elsewhere[kind] != "") {
			t.Errorf("%s: make it in made_test.go and say in caught how much of it must be found, or name in elsewhere what tries it", kind)
		}
		return true
	})
	if kinds != len(caught)+len(elsewhere) {
		t.Errorf("%d kinds are declared, %d are tried", kinds, len(caught)+len(elsewhere))
	}
}

// maxFalse is the share of good recordings in which any rule may find a fault.
const maxFalse = 1.0

// TestMatrix judges 80 good recordings and 24 with each fault, all made by
// record. -v prints the share of each row in which each fault was found.
func TestMatrix(t *testing.T) {
	if testing.Short() {
		t.Skip("the race detector makes this ten times as slow, and the rules have no state to share; TestCheck runs in its place")
	}
	good, bad := 80, 24
	columns := []Kind{}
	for _, c := range caught {
		columns = append(columns, c.kind)
	}
	columns = append(columns, Long, NoSpeech, Unreadable)

	var out strings.Builder
	fmt.Fprintf(&out, "\n%-12s", "% flagged")
	for _, k := range columns {
		fmt.Fprintf(&out, "%12s", k)
	}
	row := func(name string, kind Kind, n int) map[Kind]float64 {
		found := flagged(kind, n)
		fmt.Fprintf(&out, "\n%-12s", name)
		for _, k := range columns {
			fmt.Fprintf(&out, "%12.1f", found[k])
		}
		return found
	}
	for kind, share := range row("good", "", good) {
		if share > maxFalse {
			t.Errorf("%.1f %% of good recordings are called %s, at most %v %% may be", share, kind, maxFalse)
		}
	}
	for _, c := range caught {
		if share := row(string(c.kind), c.kind, bad)[c.kind]; share < c.least {
			t.Errorf("%.1f %% of %s found, at least %v %% must be", share, c.kind, c.least)
		}
	}
	t.Log(out.String())
}

// flagged makes n recordings with a fault and gives in how many percent each kind
// was found.
func flagged(fault Kind, n int) map[Kind]float64 {
	reports := make([]Report, n)
	seed := uint64(slices.IndexFunc(caught, func(c share) bool { return c.kind == fault }))
	var work sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		work.Go(func() {
			for i := range next {
				clip, word := record(rand.New(rand.NewPCG(uint64(i), seed)), fault)
				reports[i] = Judge(clip, word)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	work.Wait()
	found := map[Kind]float64{}
	for _, r := range reports {
		seen := map[Kind]bool{}
		for _, f := range r.Faults {
			if !seen[f.Kind] {
				seen[f.Kind] = true
				found[f.Kind]++
			}
		}
	}
	for kind := range found {
		found[kind] = 100 * found[kind] / float64(n)
	}
	return found
}
