package decode

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"cuewright/audio"
	"cuewright/audio/wav"
)

const cases = "../../testdata/cases"

func load(t testing.TB, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(cases, path))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// outcome is what decoding a file must give.
type outcome struct {
	rate     audio.Rate
	channels int
	frames   int
	warning  string // part of them; "" for none at all
	err      string // part of it; "" for none
	foreign  bool   // the error is one of another program's format
}

func sound(rate audio.Rate, channels, frames int) outcome {
	return outcome{rate: rate, channels: channels, frames: frames}
}

func warned(rate audio.Rate, channels, frames int, warning string) outcome {
	return outcome{rate: rate, channels: channels, frames: frames, warning: warning}
}

func broken(text string) outcome  { return outcome{err: text} }
func foreigner(s string) outcome  { return outcome{err: s, foreign: true} }
func megabytes(n float64) float64 { return n / (1 << 20) }

// check decodes a file and compares all that is said about it. The files are
// short, so none may cost more than a few megabytes, whatever it claims.
func check(t *testing.T, name string, data []byte, want outcome) audio.Clip {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	clip, err := Bytes(name, data)
	runtime.ReadMemStats(&after)
	if got := megabytes(float64(after.TotalAlloc - before.TotalAlloc)); got > 8 {
		t.Errorf("%s: %.0f MB of memory for a file of %d bytes", name, got, len(data))
	}
	if want.err != "" {
		var f *ForeignError
		if err == nil || !strings.Contains(err.Error(), want.err) || !strings.HasPrefix(err.Error(), name+": ") {
			t.Errorf("%s: error %v, want one with %q", name, err, want.err)
		} else if errors.As(err, &f) != want.foreign {
			t.Errorf("%s: error of type %T", name, err)
		}
		return clip
	}
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return clip
	}
	if clip.Rate != want.rate || clip.Channels != want.channels || len(clip.Samples) != want.frames*want.channels {
		t.Errorf("%s: %d samples of %d channels at %d, want %+v", name, len(clip.Samples), clip.Channels, clip.Rate, want)
	}
	if all := strings.Join(clip.Warnings, "; "); (all == "") != (want.warning == "") || !strings.Contains(all, want.warning) {
		t.Errorf("%s: warnings %q, want %q", name, all, want.warning)
	}
	for _, v := range clip.Samples {
		if v-v != 0 {
			t.Errorf("%s: a sample is no number", name)
			break
		}
	}
	return clip
}

func TestCases(t *testing.T) {
	const joint = "joint stereo at 22050 Hz"
	want := map[string]outcome{
		"wav/b_ext_24in32.wav":                     sound(44100, 1, 1000),
		"wav/b_ext_float32.wav":                    sound(44100, 1, 1000),
		"wav/b_float32_fmt3.wav":                   sound(44100, 1, 1000),
		"wav/b_mulaw_fmt7_8bit.wav":                sound(8000, 1, 1000),
		"wav/c_LISTinfo_before_fmt.wav":            sound(44100, 1, 1000),
		"wav/c_no_data.wav":                        broken("without a data chunk"),
		"wav/c_odd_chunk_unpadded_before_data.wav": warned(44100, 1, 1000, "not padded"),
		"wav/c_odd_data_24bit_mono_999_padded.wav": sound(44100, 1, 999),
		"wav/c_odd_data_8bit_999_padded.wav":       sound(8000, 1, 999),
		"wav/c_two_data_chunks.wav":                warned(44100, 1, 1000, "second data chunk"),
		"wav/d_data_size0_stream.wav":              warned(44100, 1, 1000, "claims to be empty"),
		"wav/d_data_sizeFFFFFFFF_stream.wav":       sound(44100, 1, 1000),
		"wav/e_RIFF_AVI.wav":                       foreigner("a RIFF file that is not a WAV file"),
		"wav/e_trunc_24_midsample.wav":             warned(44100, 1, 333, "cut off"),
		"wav/e_trunc_data_half.wav":                warned(44100, 1, 500, "cut off"),
		"wav/e_trunc_data_oddbyte.wav":             warned(44100, 1, 500, "cut off"),
		"wav/encoder_channel_mismatch.wav":         warned(44100, 2, 500, "cut off"),
		"wav/encoder_metadata_unpadded.wav":        warned(44100, 1, 1000, "not padded"),
		"wav/f_huge_LIST_before_fmt_2G.wav":        broken("without a fmt chunk"),
		"wav/f_huge_LIST_between_2G.wav":           broken("without a data chunk"),
		"wav/f_huge_LIST_sub_4G.wav":               sound(44100, 1, 1000),
		"wav/f_huge_fmt_2G.wav":                    broken("fmt chunk is damaged"),
		"wav/fuzz_fmt_2.9GB_41bytes.wav":           broken("fmt chunk is damaged"),
		"wav/g_65535_channels.wav":                 foreigner("65535 channels"),
		"wav/g_bits_65535.wav":                     foreigner("65535 bits"),

		"mp3/freeformat_unsupported.mp3":      foreigner("MP3 in free format"),
		"mp3/id3_declares_256MB.mp3":          broken("no whole MP3 frame"),
		"mp3/jstereo22050_48k_inaccurate.mp3": warned(22050, 2, 23616, joint),
		"mp3/mono22050_32k_garbage.mp3":       sound(22050, 1, 27648),
		"mp3/mpeg25_8k_unsupported.mp3":       foreigner("MPEG-2.5"),
		"mp3/panic_maindata166_26bytes.mp3":   broken("the MP3 data are damaged"),
		"mp3/stereo22050_80k_garbage.mp3":     warned(22050, 2, 15435, joint),
		"mp3/truncated_no_error.mp3":          warned(44100, 1, 8111, "the tag of the file counts 17"),
		"mp3/two_id3v2_tags.mp3":              sound(44100, 1, 17640),

		"flac/mewkiz_encoded_1_sample_invalid.flac":              sound(44100, 1, 1),
		"flac/mewkiz_encoded_lastblock5_rejected_by_itself.flac": sound(44100, 1, 12293),

		"made/mono44100_64k.mp3":        sound(44100, 1, 17640),
		"made/mono44100_64k_no_tag.mp3": sound(44100, 1, 19584),
		"made/stereo48000_128k.mp3":     sound(48000, 2, 19200),
		"made/mono22050_32k.mp3":        sound(22050, 1, 10368),
		"made/mono22050_vbr.mp3":        sound(22050, 1, 8820),
		"made/stereo22050_160k.mp3":     sound(22050, 2, 8820),
		"made/mono16000_16bit.flac":     sound(16000, 1, 1600),
		"made/stereo48000_24bit.flac":   sound(48000, 2, 4800),
		"made/layer2.mp2":               foreigner("MPEG audio of layer II"),
		"made/phrase.m4a":               foreigner("an MPEG-4 file"),
		"made/README.md":                foreigner("unknown kind"),
	}
	for _, folder := range []string{"wav", "mp3", "flac", "made"} {
		files, _ := filepath.Glob(filepath.Join(cases, folder, "*"))
		for _, path := range files {
			name := folder + "/" + filepath.Base(path)
			if _, ok := want[name]; !ok {
				t.Errorf("no outcome is written down for %s", name)
			}
		}
	}
	for name, w := range want {
		check(t, name, load(t, name), w)
	}
}

// rising is the sound that the made files hold; see their README.
func rising(rate audio.Rate, channels, frames int) []float32 {
	out := make([]float32, 0, frames*channels)
	for i := range frames {
		t := float64(i) / float64(rate)
		for c := range channels {
			out = append(out, float32(0.5*math.Sin(2*math.Pi*(1+float64(c)/2)*(300*t+750*t*t))))
		}
	}
	return out
}

// snr compares got, from a number of frames on, with want, in dB.
func snr(got, want []float32, channels, from int) float64 {
	var signal, wrong float64
	for i, w := range want {
		if k := i + from*channels; k >= 0 && k < len(got) {
			d := float64(got[k]) - float64(w)
			signal += float64(w) * float64(w)
			wrong += d * d
		}
	}
	return 10 * math.Log10(signal/wrong)
}

// Every made file must hold the sound it was made from, and at the right place:
// no other place fits nearly as well. Files without a tag begin late, by the
// 576 samples of the encoder and the 529 of the decoder.
func TestMadeFilesHoldTheirSound(t *testing.T) {
	for name, c := range map[string]struct {
		late int
		snr  float64
	}{
		"mono44100_64k.mp3":        {0, 25},
		"mono44100_64k_no_tag.mp3": {1105, 25},
		"stereo48000_128k.mp3":     {0, 25},
		"mono22050_32k.mp3":        {1105, 25},
		"mono22050_vbr.mp3":        {0, 25},
		"stereo22050_160k.mp3":     {0, 25},
		"mono16000_16bit.flac":     {0, 90},
		"stereo48000_24bit.flac":   {0, 130},
	} {
		clip, err := Bytes(name, load(t, "made/"+name))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		frames := len(clip.Samples) / clip.Channels
		if strings.HasSuffix(name, ".mp3") {
			frames = int(clip.Rate) * 2 / 5
		}
		want := rising(clip.Rate, clip.Channels, frames)
		best := snr(clip.Samples, want, clip.Channels, c.late)
		t.Logf("%s: %.1f dB", name, best)
		if best < c.snr {
			t.Errorf("%s: %.1f dB, want at least %g", name, best, c.snr)
		}
		for _, off := range []int{-30, -2, -1, 1, 2, 30, 529, 576} {
			if other := snr(clip.Samples, want, clip.Channels, c.late+off); other > best-3 {
				t.Errorf("%s: %d frames off it fits as well (%.1f and %.1f dB)", name, off, other, best)
			}
		}
	}
}

func TestLimits(t *testing.T) {
	file := make([]byte, 0, 5<<20)
	long := func(frames int) []byte {
		f := &memory{b: file[:0]}
		w, err := wav.NewWriter(f, wav.Format{FileInfo: audio.FileInfo{Rate: 8000, Channels: 1, Bits: 16, Frames: int64(frames)}})
		if err != nil {
			t.Fatal(err)
		}
		w.Write(make([]byte, 2*frames))
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		return f.b
	}
	if _, err := Bytes("ten.wav", long(8000*600)); err != nil {
		t.Errorf("ten minutes: %v", err)
	}
	if _, err := Bytes("over.wav", long(8000*600+1)); err == nil || !strings.Contains(err.Error(), "longer than 10m0s") {
		t.Errorf("ten minutes and a frame: %v", err)
	}

	mp3 := load(t, "made/mono44100_64k_no_tag.mp3")
	for len(mp3) < 65_000*60*10/8*9 {
		mp3 = append(mp3, mp3...)
	}
	check(t, "over.mp3", mp3, broken("longer than 10m0s"))

	// A head that claims a day of sound.
	flac := load(t, "made/mono16000_16bit.flac")
	flac[21] |= 0x0F
	check(t, "over.flac", flac, broken("longer than 10m0s"))

	check(t, "none.wav", nil, broken("is empty"))
}

// memory is a file in memory for the WAV writer.
type memory struct {
	b   []byte
	pos int64
}

func (m *memory) Write(p []byte) (int, error) {
	n, err := m.WriteAt(p, m.pos)
	m.pos += int64(n)
	return n, err
}

func (m *memory) WriteAt(p []byte, at int64) (int, error) {
	if grow := at + int64(len(p)) - int64(len(m.b)); grow > 0 {
		m.b = append(m.b, make([]byte, grow)...)
	}
	return copy(m.b[at:], p), nil
}

func (m *memory) Seek(offset int64, whence int) (int64, error) {
	if whence == 2 {
		offset += int64(len(m.b))
	}
	m.pos = offset
	return offset, nil
}

func TestForeignKinds(t *testing.T) {
	pad := strings.Repeat("x", 200)
	for start, want := range map[string]string{
		"OggS\x00":                 "an Ogg file",
		"\x00\x00\x00\x20ftypM4A ": "an MPEG-4 file",
		"FORM\x00\x00\x10\x00AIFF": "an AIFF file",
		"\x1aE\xdf\xa3":            "a Matroska or WebM file",
		"#!AMR\n":                  "an AMR file",
		"\xff\xf1\x50\x80":         "an AAC file",
		"ID3\x04\x00\x00\x00\x00\x00\x02xx\xff\xf1\x50\x80": "an AAC file",
		"RIFX\x00\x00\x00\x00WAVEfmt ":                      "big-endian",
		"RF64\xff\xff\xff\xffWAVEds64":                      "4 GiB",
		"hello, this is text":                               "unknown kind",
	} {
		check(t, "clip", []byte(start+pad), foreigner(want))
	}
}

func fuzz(f *testing.F, folders ...string) {
	for _, folder := range folders {
		files, _ := filepath.Glob(filepath.Join(cases, folder))
		for _, path := range files {
			if data, err := os.ReadFile(path); err == nil && len(data) < 20_000 {
				f.Add(data)
			}
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		clip, err := Bytes("clip", data)
		if err != nil {
			return
		}
		if clip.Channels < 1 || clip.Channels > 8 || len(clip.Samples)%clip.Channels != 0 {
			t.Fatalf("%d samples of %d channels", len(clip.Samples), clip.Channels)
		}
		if mono, _ := clip.Mono(); len(mono.Samples) != len(clip.Samples)/clip.Channels {
			t.Fatalf("mono has %d samples", len(mono.Samples))
		}
	})
}

func FuzzWAV(f *testing.F)  { fuzz(f, "wav/*.wav") }
func FuzzMP3(f *testing.F)  { fuzz(f, "mp3/*.mp3", "made/*.mp3") }
func FuzzFLAC(f *testing.F) { fuzz(f, "flac/*.flac", "made/*.flac") }
