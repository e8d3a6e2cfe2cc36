package audio

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"runtime"
	"slices"
	"sync"
	"testing"
)

// tone is a sine of hz at half of full scale, exact to the last bit of a float32.
func tone(rate Rate, hz float64, frames int) Sound {
	s := Sound{rate, make([]float32, frames)}
	for i := range s.Samples {
		s.Samples[i] = float32(0.5 * math.Sin(angle(rate, hz)*float64(i)))
	}
	return s
}

// snr compares s with the tone of hz it should be, leaving the edges out, and
// returns the signal-to-error ratio in dB.
func snr(s Sound, hz float64, edge int) float64 {
	var signal, wrong float64
	for i := edge; i < len(s.Samples)-edge; i++ {
		want := 0.5 * math.Sin(angle(s.Rate, hz)*float64(i))
		d := float64(s.Samples[i]) - want
		signal += want * want
		wrong += d * d
	}
	return 10 * math.Log10(signal/wrong)
}

// pairs of rates: common ones, and awkward ones whose exact tables would be huge.
var pairs = [][2]Rate{
	{44100, 48000}, {48000, 44100}, {22050, 48000}, {24000, 48000}, {16000, 48000},
	{8000, 48000}, {11025, 48000}, {32000, 44100}, {96000, 48000}, {192000, 48000},
	{48000, 8000}, {192000, 8000}, {8000, 192000}, {192000, 44100},
	{44101, 48000}, {47999, 48000}, {48000, 47999}, {191999, 8000}, {8000, 191999}, {22051, 48000},
}

func TestResampleKeepsTones(t *testing.T) {
	if testing.Short() {
		t.Skip("measures, which the race detector makes ten times as slow")
	}
	for _, p := range pairs {
		from, to := p[0], p[1]
		lower := float64(min(from, to))
		worst, at := math.Inf(1), 0.0
		for _, part := range []float64{0.01, 0.05, 0.1, 0.2268, 0.31, 0.37, 0.4} {
			hz := part * lower
			out := Resample(tone(from, hz, int(from)/4), to)
			if got := snr(out, hz, int(to)/50); got < worst {
				worst, at = got, part
			}
		}
		if worst < 100 {
			t.Errorf("%d to %d: %.1f dB at %.3f of the lower rate, want at least 100", from, to, worst, at)
		}
		t.Logf("%d to %d: at least %.1f dB (at %.3f)", from, to, worst, at)
	}
}

// What lies above the lower rate's band must not come back inside it.
func TestResampleStopsAliases(t *testing.T) {
	for _, p := range [][2]Rate{{48000, 22050}, {44100, 8000}, {192000, 44100}, {191999, 8000}} {
		from, to := p[0], p[1]
		for _, part := range []float64{0.55, 0.6, 0.9} {
			out := Resample(tone(from, part*float64(to), int(from)/4), to)
			var most float64
			for _, v := range out.Samples[to/50 : len(out.Samples)-int(to)/50] {
				most = max(most, math.Abs(float64(v)))
			}
			if db := 20 * math.Log10(most/0.5); db > -100 {
				t.Errorf("%d to %d: a tone at %.3f of the new rate is left at %.1f dB, want at most -100", from, to, part, db)
			}
		}
	}
}

func TestResampleCountsAndDoesNotDelay(t *testing.T) {
	for _, p := range pairs {
		for _, n := range []int{0, 1, 2, 47, 1000, 1001} {
			from, to := p[0], p[1]
			out := Resample(Sound{from, make([]float32, n)}, to)
			want := (int64(n)*int64(to) + int64(from) - 1) / int64(from)
			if int64(len(out.Samples)) != want || out.Rate != to {
				t.Errorf("%d frames from %d to %d: %d frames at %d, want %d", n, from, to, len(out.Samples), out.Rate, want)
			}
		}
	}
	// An impulse at a time that both rates hit exactly stays on that frame.
	in := Sound{44100, make([]float32, 44100)}
	in.Samples[22050] = 1
	out := Resample(in, 48000)
	top := 0
	for i, v := range out.Samples {
		if v > out.Samples[top] {
			top = i
		}
	}
	if top != 24000 {
		t.Errorf("impulse at 0.5 s came out at frame %d, want 24000", top)
	}
	for d := 1; d < 60; d++ {
		if a, b := out.Samples[24000-d], out.Samples[24000+d]; math.Abs(float64(a-b)) > 1e-6 {
			t.Errorf("impulse is not symmetric %d frames from its top: %g and %g", d, a, b)
		}
	}
}

func TestResampleKeepsConstant(t *testing.T) {
	in := Sound{22050, make([]float32, 4000)}
	for i := range in.Samples {
		in.Samples[i] = 0.25
	}
	for i, v := range Resample(in, 48000).Samples[200:8000] {
		if math.Abs(float64(v)-0.25) > 1e-6 {
			t.Fatalf("sample %d of a constant 0.25 is %g", 200+i, v)
		}
	}
}

func TestResampleSameRate(t *testing.T) {
	in := tone(48000, 440, 100)
	if out := Resample(in, 48000); &out.Samples[0] != &in.Samples[0] {
		t.Error("the same rate made a copy")
	}
}

// Whatever the ratio, a table stays small.
func TestResampleMemoryIsBounded(t *testing.T) {
	var before, after runtime.MemStats
	for _, p := range [][2]Rate{{191999, 8000}, {8000, 191999}, {47997, 48000}, {100003, 192000}} {
		runtime.ReadMemStats(&before)
		newKernel(int64(p[1]), int64(p[0]))
		runtime.ReadMemStats(&after)
		if got := after.TotalAlloc - before.TotalAlloc; got > 2<<20 {
			t.Errorf("%d to %d: %d bytes for the table, want at most 2 MiB", p[0], p[1], got)
		}
	}
}

func TestResampleConcurrently(t *testing.T) {
	in := tone(11026, 440, 2000)
	want := Resample(in, 44100).Samples
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			kernels.Delete([2]int64{22050, 5513})
			got := Resample(in, 44100).Samples
			for i := range got {
				if got[i] != want[i] {
					t.Errorf("sample %d differs", i)
					return
				}
			}
		})
	}
	wg.Wait()
}

func BenchmarkResample(b *testing.B) {
	for _, p := range [][2]Rate{{22050, 48000}, {44100, 48000}, {44101, 48000}, {48000, 22050}} {
		b.Run(fmt.Sprintf("%d-%d", p[0], p[1]), func(b *testing.B) {
			in := tone(p[0], 440, int(p[0]))
			Resample(in, p[1])
			for b.Loop() {
				Resample(in, p[1])
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(p[1]), "ns/frame")
		})
	}
}

// TestResamplerInBlocks: blocks of any size give the samples of the whole.
func TestResamplerInBlocks(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	for _, c := range [][2]Rate{{44100, 48000}, {48000, 44100}, {8000, 48000}, {96000, 32000}, {48000, 48000}, {47999, 48000}, {192000, 8000}} {
		s := Sound{c[0], make([]float32, 9000+rng.IntN(50))}
		for i := range s.Samples {
			s.Samples[i] = rng.Float32() - 0.5
		}
		want := Resample(s, c[1]).Samples
		r := NewResampler(c[0], c[1])
		var got []float32
		for in := s.Samples; len(in) > 0; {
			n := min(len(in), rng.IntN(1500))
			got = r.Add(got, in[:n])
			in = in[n:]
		}
		if got = r.End(got); !slices.Equal(got, want) {
			t.Errorf("%d to %d: %d samples in blocks, %d at once, or others", c[0], c[1], len(got), len(want))
		}
	}
}

// TestResampleAsOthersDo: a sweep up to 0.4 of the lower rate, resampled by sox at
// its very high quality and by the soxr library inside ffmpeg, differs from ours by
// less than -100 dB, so neither the delay nor the level is our own idea.
func TestResampleAsOthersDo(t *testing.T) {
	others := map[string]func(from, to Rate) []string{
		"sox": func(from, to Rate) []string {
			return []string{"-D", "-t", "f32", "-c", "1", "-r", fmt.Sprint(from), "-", "-t", "f32", "-", "rate", "-v", "-L", fmt.Sprint(to)}
		},
		"ffmpeg": func(from, to Rate) []string {
			return []string{"-v", "error", "-f", "f32le", "-ac", "1", "-ar", fmt.Sprint(from), "-i", "pipe:0",
				"-af", fmt.Sprintf("aresample=%d:resampler=soxr:precision=28", to), "-f", "f32le", "pipe:1"}
		},
	}
	for name, args := range others {
		t.Run(name, func(t *testing.T) {
			if _, err := exec.LookPath(name); err != nil {
				t.Skip(name, "is not installed")
			}
			for _, p := range [][2]Rate{{44100, 48000}, {48000, 44100}, {16000, 48000}, {8000, 44100}, {96000, 48000}} {
				from, to := p[0], p[1]
				s := sweep(from, 0.4*float64(min(from, to)))
				var in bytes.Buffer
				binary.Write(&in, binary.LittleEndian, s.Samples)
				cmd := exec.Command(name, args(from, to)...)
				cmd.Stdin = &in
				raw, err := cmd.Output()
				if err != nil {
					t.Fatal(err)
				}
				ours := Resample(s, to).Samples
				theirs := make([]float32, len(raw)/4)
				binary.Read(bytes.NewReader(raw), binary.LittleEndian, theirs)
				if d := len(ours) - len(theirs); d < -1 || d > 1 {
					t.Errorf("%d to %d: %d samples, %s makes %d", from, to, len(ours), name, len(theirs))
				}
				var signal, apart float64
				for i := range min(len(ours), len(theirs)) {
					signal += float64(ours[i]) * float64(ours[i])
					d := float64(ours[i]) - float64(theirs[i])
					apart += d * d
				}
				db := 10 * math.Log10(apart/signal)
				t.Logf("%d to %d: %.1f dB apart", from, to, db)
				if db > -100 {
					t.Errorf("%d to %d: %.1f dB apart from %s, want less than -100", from, to, db, name)
				}
			}
		})
	}
}

// sweep is a second of a rising tone between silences, faded at both ends so that
// it holds nothing over the highest frequency.
func sweep(rate Rate, highest float64) Sound {
	n, edge := int(rate), int(rate)/5
	s := Sound{rate, make([]float32, n+2*edge)}
	const lowest = 50.0
	for i := range n {
		at := float64(i) / float64(n)
		phase := 2 * math.Pi * (lowest*at + (highest*0.97-lowest)*at*at/2)
		fade := 1.0
		if end := min(at, 1-at) / 0.1; end < 1 {
			fade = (1 - math.Cos(math.Pi*end)) / 2
		}
		s.Samples[edge+i] = float32(0.5 * fade * math.Sin(phase))
	}
	return s
}
