package mix

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// draw makes a mix of random events, some outside of it, and its sum worked out
// sample by sample.
func draw(t *rapid.T) (*Mix, []float32) {
	frames := rapid.Int64Range(1, 3000).Draw(t, "frames")
	var events []Event
	for range rapid.IntRange(0, 8).Draw(t, "events") {
		events = append(events, Event{
			At:      rapid.Int64Range(-200, 3200).Draw(t, "at"),
			Samples: rapid.SliceOfN(rapid.Float32Range(-1, 1), 0, 300).Draw(t, "samples"),
			Gain:    rapid.Float32Range(0, 2).Draw(t, "gain"),
		})
	}
	sum := make([]float32, frames)
	sorted := slices.Clone(events)
	slices.SortStableFunc(sorted, func(a, b Event) int { return int(a.At - b.At) })
	for _, e := range sorted {
		for i, x := range e.Samples {
			if at := e.At + int64(i); at >= 0 && at < frames {
				sum[at] += x * e.Gain
			}
		}
	}
	return New(frames, events), sum
}

// TestRead: however the mix is cut into blocks, it is the sum of its events.
func TestRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, want := draw(t)
		for _, size := range []int{1, 7, 479, 4096} {
			var got []float32
			buf := make([]float32, size)
			for at := int64(0); at < m.Frames; at += int64(size) {
				b := buf[:min(int64(size), m.Frames-at)]
				m.Read(b, at)
				got = append(got, b...)
			}
			if !slices.Equal(got, want) {
				t.Fatalf("blocks of %d give another sum", size)
			}
		}
	})
}

// TestSpans: they are in order, apart, inside, and hold everything that sounds.
func TestSpans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, sum := draw(t)
		inside := make([]bool, len(sum))
		last := int64(-1)
		for _, s := range m.Spans() {
			if s.From <= last || s.To <= s.From || s.To > m.Frames {
				t.Fatalf("span %v after one that ends at %d, of %d frames", s, last, m.Frames)
			}
			last = s.To
			for i := s.From; i < s.To; i++ {
				inside[i] = true
			}
		}
		for i, x := range sum {
			if x != 0 && !inside[i] {
				t.Fatalf("frame %d sounds outside of all spans", i)
			}
		}
	})
}
