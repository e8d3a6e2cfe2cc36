package class

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"cuewright/plan"
)

// TestForms: the twelve classes of testdata/plans/forms, written as a coach would, are those that are written out row by
// row beside them: the same segments to the millisecond, with the same numbers and sentences, and shorter.
func TestForms(t *testing.T) {
	files, err := filepath.Glob("../../testdata/plans/forms/*.yaml")
	if err != nil || len(files) != 12 {
		t.Fatal(len(files), "classes", err)
	}
	read := func(file string) (*Class, int) {
		p, problems, err := plan.Load(file)
		if err != nil || len(problems) > 0 {
			t.Fatal(file, problems, err)
		}
		info, err := os.Stat(file)
		if err != nil {
			t.Fatal(err)
		}
		c, problems := Unfold(p)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		return c, int(info.Size())
	}
	for _, file := range files {
		short, size := read(file)
		long, longSize := read(filepath.Join(filepath.Dir(file), "written-out", filepath.Base(file)))
		if len(short.Segments) != len(long.Segments) || short.Length != long.Length || size > longSize+10 {
			t.Errorf("%s: %d segments of %v in %d bytes, written out %d of %v in %d", file, len(short.Segments), short.Length, size, len(long.Segments), long.Length, longSize)
			continue
		}
		for i := range short.Segments {
			a, b := short.Segments[i], long.Segments[i]
			a.Target.Gait, b.Target.Gait = "", ""
			says := func(s Segment) (out string) {
				for _, c := range s.FixedCues {
					out += fmt.Sprint(c.At, c.Text, "; ")
				}
				return out
			}
			if a.Start != b.Start || a.Length != b.Length || a.Part != b.Part || a.Target != b.Target || says(a) != says(b) {
				t.Errorf("%s: segment %d is\n%+v, written out\n%+v", file, i, a, b)
			}
		}
	}
}
