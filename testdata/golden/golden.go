// Package golden compares what a test made with a file that reads as documentation, and
// shows where they differ. Run a test with -update to write its files anew, and review
// their diff like code.
package golden

import (
	"flag"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/diff"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Update reports whether the golden files are to be written anew.
func Update() bool { return *update }

// Compare fails the test where the file does not hold got.
func Compare(t testing.TB, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s is not what is made now:\n%s", file, diff.Diff("wanted", want, "made", []byte(got)))
	}
}
