package draft

import (
	"testing"
	"testing/fstest"
)

// TestReal speaks with the programs that are installed.
func TestReal(t *testing.T) {
	for _, language := range []string{"en", "de"} {
		v, err := Make(t.Context(), []string{"two"}, language)
		if err != nil {
			t.Fatal(err)
		}
		if v.Engine == "" {
			t.Logf("no speech synthesiser for %q is installed: tones were heard", language)
		}
		speaks(t, v, fstest.MapFS{}, "two")
	}
}
