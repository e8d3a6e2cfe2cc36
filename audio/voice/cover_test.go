package voice

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func indexOf(texts ...string) index {
	var r []*recording
	for _, t := range texts {
		r = append(r, &recording{file: t + ".wav", text: t, take: 1})
	}
	return newIndex(r)
}

func textsOf(parts []*phrase) []string {
	var out []string
	for _, p := range parts {
		out = append(out, p.text)
	}
	return out
}

// allCovers gives every way to speak words with texts.
func allCovers(words, texts []string) [][]string {
	if len(words) == 0 {
		return [][]string{nil}
	}
	var out [][]string
	for _, t := range texts {
		if w := strings.Fields(t); len(w) <= len(words) && slices.Equal(w, words[:len(w)]) {
			for _, rest := range allCovers(words[len(w):], texts) {
				out = append(out, append([]string{t}, rest...))
			}
		}
	}
	return out
}

// preferred orders covers: fewer recordings, then longer ones first.
func preferred(a, b []string) int {
	if len(a) != len(b) {
		return len(a) - len(b)
	}
	return slices.CompareFunc(a, b, func(a, b string) int { return len(strings.Fields(b)) - len(strings.Fields(a)) })
}

func TestCoverIsBest(t *testing.T) {
	abc := rapid.SampledFrom([]string{"a", "b", "c", "dd"})
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(abc, 1, 7).Draw(t, "words")
		texts := rapid.SliceOfNDistinct(rapid.Map(rapid.SliceOfN(abc, 1, 4), func(w []string) string { return strings.Join(w, " ") }),
			0, 9, rapid.ID[string]).Draw(t, "texts")
		parts, missing := indexOf(texts...).cover(words, nil)
		all := allCovers(words, texts)
		if len(all) > 0 {
			if want := slices.MinFunc(all, preferred); !slices.Equal(textsOf(parts), want) || missing != nil {
				t.Fatalf("%q missing %q, want %q", textsOf(parts), missing, want)
			}
			return
		}
		if len(missing) == 0 {
			t.Fatalf("cannot be spoken, but %q and nothing missing", textsOf(parts))
		}
		if len(allCovers(words, append(missing, texts...))) == 0 {
			t.Fatalf("missing %q is not enough", missing)
		}
		for i, m := range missing {
			rest := slices.Delete(slices.Clone(missing), i, i+1)
			if len(allCovers(words, append(rest, texts...))) > 0 {
				t.Fatalf("missing %q: %q is not needed", missing, m)
			}
		}
		if !slices.IsSortedFunc(missing, func(a, b string) int { return slices.Index(words, a) - slices.Index(words, b) }) {
			t.Fatalf("missing %q is out of order", missing)
		}
	})
}

func TestCoverSkips(t *testing.T) {
	x := indexOf("a b", "a", "b")
	if parts, _ := x.cover([]string{"a", "b"}, map[*phrase]bool{x.phrases["a b"]: true}); !slices.Equal(textsOf(parts), []string{"a", "b"}) {
		t.Errorf("%q", textsOf(parts))
	}
}

// 5,000 recordings and 60 words stay far under the time a sentence may take.
func TestCoverIsFast(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	var texts []string
	for i := range 5000 {
		text := fmt.Sprint("w", i%300)
		for range rng.IntN(8) {
			text += fmt.Sprint(" w", rng.IntN(300))
		}
		texts = append(texts, text)
	}
	x := indexOf(texts...)
	var words []string
	for range 60 {
		words = append(words, fmt.Sprint("w", rng.IntN(300)))
	}
	start := time.Now()
	const times = 100
	for range times {
		x.cover(words, nil)
	}
	if each := time.Since(start) / times; each > 10*time.Millisecond {
		t.Errorf("%v a sentence", each)
	}
}
