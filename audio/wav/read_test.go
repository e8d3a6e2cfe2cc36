package wav

import (
	"bytes"
	"cuewright/audio"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"testing"
)

// outcome is what reading a file must give.
type outcome struct {
	samples  int    // of all channels
	warning  string // part of one; "" for none at all
	err      string // part of it; "" for none
	notSines bool   // the samples are not those of sine
}

// readAll is a file as a recording, with what it tells of itself.
func readAll(file []byte) ([]float32, Info, error) {
	r, err := NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		return nil, Info{}, err
	}
	clip, err := Decode(file)
	r.Info.Warnings = clip.Warnings
	return clip.Samples, r.Info, err
}

// check reads a file and compares all that is said about it. No file may cost
// more memory than a small multiple of its length.
func check(t *testing.T, name string, file []byte, want outcome) {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	samples, info, err := readAll(file)
	runtime.ReadMemStats(&after)
	if got, most := after.TotalAlloc-before.TotalAlloc, uint64(32*len(file)+200_000); got > most {
		t.Errorf("%s: %d bytes of memory for a file of %d", name, got, len(file))
	}
	if want.err != "" {
		var f FormatError
		var u audio.UnsupportedError
		if err == nil || !strings.Contains(err.Error(), want.err) || !errors.As(err, &f) && !errors.As(err, &u) {
			t.Errorf("%s: error %T %v, want one with %q", name, err, err, want.err)
		}
		return
	}
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return
	}
	if len(samples) != want.samples || info.Frames*int64(info.Channels) != int64(want.samples) {
		t.Errorf("%s: %d samples, %d frames of %d channels, want %d samples", name, len(samples), info.Frames, info.Channels, want.samples)
	}
	if all := strings.Join(info.Warnings, "; "); (want.warning == "") != (all == "") || !strings.Contains(all, want.warning) {
		t.Errorf("%s: warnings %q, want %q", name, all, want.warning)
	}
	if want.notSines {
		return
	}
	step := math.Pow(2, -float64(min(info.Bits, 24)-1))
	for i, v := range samples {
		// The writer of the cases scaled by one less than full scale.
		if d := math.Abs(float64(v) - sine(i)); d > 2*step {
			t.Errorf("%s: sample %d is %g, want %g", name, i, v, sine(i))
			return
		}
	}
}

func TestReadCases(t *testing.T) {
	want := map[string]outcome{
		"b_ext_24in32.wav":                     {samples: 1000},
		"b_ext_float32.wav":                    {samples: 1000},
		"b_float32_fmt3.wav":                   {samples: 1000},
		"b_mulaw_fmt7_8bit.wav":                {samples: 1000, notSines: true},
		"c_LISTinfo_before_fmt.wav":            {samples: 1000},
		"c_no_data.wav":                        {err: "without a data chunk"},
		"c_odd_chunk_unpadded_before_data.wav": {samples: 1000, warning: "not padded"},
		"c_odd_data_24bit_mono_999_padded.wav": {samples: 999},
		"c_odd_data_8bit_999_padded.wav":       {samples: 999},
		"c_two_data_chunks.wav":                {samples: 1000, warning: "second data chunk"},
		"d_data_size0_stream.wav":              {samples: 1000, warning: "claims to be empty"},
		"d_data_sizeFFFFFFFF_stream.wav":       {samples: 1000},
		"e_RIFF_AVI.wav":                       {err: `form "AVI "`},
		"e_trunc_24_midsample.wav":             {samples: 333, warning: "1000 of 3000 bytes"},
		"e_trunc_data_half.wav":                {samples: 500, warning: "1000 of 2000 bytes"},
		"e_trunc_data_oddbyte.wav":             {samples: 500, warning: "last 1 byte was left out"},
		"encoder_channel_mismatch.wav":         {samples: 1000, warning: "2000 of 4000 bytes", notSines: true},
		"encoder_metadata_unpadded.wav":        {samples: 1000, warning: "not padded", notSines: true},
		"f_huge_LIST_before_fmt_2G.wav":        {err: "without a fmt chunk"},
		"f_huge_LIST_between_2G.wav":           {err: "without a data chunk"},
		"f_huge_LIST_sub_4G.wav":               {samples: 1000},
		"f_huge_fmt_2G.wav":                    {err: "claims 2147483632 bytes"},
		"fuzz_fmt_2.9GB_41bytes.wav":           {err: "claims 2885681168 bytes"},
		"g_65535_channels.wav":                 {err: "65535 channels"},
		"g_bits_65535.wav":                     {err: "65535 bits"},
	}
	files, _ := filepath.Glob("../../testdata/cases/wav/*")
	if len(files) != len(want) {
		t.Errorf("%d files, %d outcomes", len(files), len(want))
	}
	for _, path := range files {
		name := filepath.Base(path)
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if _, ok := want[name]; !ok {
			t.Errorf("no outcome is written down for %s", name)
		}
		check(t, name, data, want[name])
	}
}

func TestReadMadeFiles(t *testing.T) {
	f, data := format(1, 1, 44100, 16), padded("data", pcm(frames, 16))
	info := padded("LIST", join([]byte("INFO"), padded("INAM", []byte("Title\x00")), padded("IART", []byte("Odd\x00x"))))
	mono := riff(f, data)
	cut := func(n int) []byte { return mono[:n] }
	for name, c := range map[string]struct {
		file []byte
		want outcome
	}{
		"extensible 16 bit":       {riff(extensible(1, 2, 44100, 16, 16), padded("data", pcm(2*frames, 16))), outcome{samples: 2000}},
		"extensible 24 bit":       {riff(extensible(1, 2, 44100, 24, 24), padded("data", pcm(2*frames, 24))), outcome{samples: 2000}},
		"float64":                 {riff(format(3, 1, 44100, 64), padded("data", floats64(frames))), outcome{samples: 1000}},
		"float32 stereo":          {riff(format(3, 2, 44100, 32), padded("data", floats32(2*frames))), outcome{samples: 2000}},
		"fmt of 18 bytes":         {riff(padded("fmt ", join(fmtBody(1, 1, 44100, 16), u16(0))), data), outcome{samples: 1000}},
		"12 bits in 2 bytes":      {riff(format(1, 1, 44100, 12), data), outcome{samples: 1000}},
		"20 bits in 3 bytes":      {riff(format(1, 1, 44100, 20), padded("data", pcm(frames, 24))), outcome{samples: 1000}},
		"texts between":           {riff(f, info, data), outcome{samples: 1000}},
		"texts after":             {riff(f, data, info), outcome{samples: 1000}},
		"data before fmt":         {riff(data, f), outcome{samples: 1000}},
		"odd chunk before":        {riff(padded("JUNK", make([]byte, 27)), f, padded("abcd", make([]byte, 27)), data), outcome{samples: 1000}},
		"odd data, no pad at end": {riff(format(1, 1, 8000, 8), sized("data", 999, pcm(999, 8))), outcome{samples: 999}},
		"odd data, then texts":    {riff(format(1, 1, 44100, 24), padded("data", pcm(999, 24)), info), outcome{samples: 999}},
		"odd data, no pad, texts": {riff(format(1, 1, 44100, 24), sized("data", 2997, pcm(999, 24)), info), outcome{samples: 999, warning: "not padded"}},
		"size of a pipe":          {riffSized(0x7FFFFFFF, f, sized("data", 0x7FFFF000, pcm(frames, 16))), outcome{samples: 1000}},
		"24 bit from a pipe":      {riffSized(0xFFFFFFFF, format(1, 1, 44100, 24), info, sized("data", 0xFFFFFFFF, pcm(frames, 24))), outcome{samples: 1000}},
		"really empty":            {riff(f, padded("data", nil), info), outcome{}},
		"stereo cut in a frame":   {riff(format(1, 2, 44100, 16), padded("data", pcm(2*frames, 16)))[:44+1002], outcome{samples: 500, warning: "last 2 bytes were left out"}},
		"garbage behind":          {join(mono, []byte("TAG garbage at the end of file 12345")), outcome{samples: 1000, warning: "claims"}},
		"second fmt":              {riff(f, format(3, 1, 44100, 32), data), outcome{samples: 1000, warning: "second fmt"}},
		"huge chunk behind":       {riff(f, data, sized("cue ", 0x7FFFFFF0, u32(3))), outcome{samples: 1000, warning: "cut off"}},
		"huge count of cues":      {riff(f, data, padded("cue ", u32(0xFFFFFFFF))), outcome{samples: 1000, warning: "cut off"}},
		"LIST of 3 bytes":         {riff(f, data, padded("LIST", []byte("INF"))), outcome{samples: 1000}},
		"NaN, infinity, 3e38": {riff(format(3, 1, 44100, 32), padded("data", join(u32(0x7fc00000), u32(0x7f800000), u32(0x7f7fffff), u32(0)))),
			outcome{samples: 4, warning: "3 samples were no number", notSines: true}},

		"empty file":        {nil, outcome{err: "ends too early"}},
		"three bytes":       {[]byte("RIF"), outcome{err: "ends too early"}},
		"text":              {bytes.Repeat([]byte("hello world "), 20), outcome{err: "does not begin with RIFF"}},
		"zeros":             {make([]byte, 5000), outcome{err: "does not begin with RIFF"}},
		"RIFX":              {append([]byte("RIFX"), mono[4:]...), outcome{err: "big-endian"}},
		"RF64":              {append([]byte("RF64"), mono[4:]...), outcome{err: "4 GiB"}},
		"head only":         {cut(12), outcome{err: "without a fmt chunk"}},
		"cut in fmt":        {cut(30), outcome{err: "fmt chunk is damaged"}},
		"cut before data":   {cut(42), outcome{err: "without a data chunk"}},
		"no fmt":            {riff(data), outcome{err: "without a fmt chunk"}},
		"fmt of 14 bytes":   {riff(padded("fmt ", fmtBody(1, 1, 44100, 16)[:14]), data), outcome{err: "fmt chunk is damaged"}},
		"huge chunk first":  {riff(sized("JUNK", 0xFFFFFFFF, make([]byte, 100)), f, data), outcome{err: "without a fmt chunk"}},
		"no channels":       {riff(format(1, 0, 44100, 16), data), outcome{err: "0 channels"}},
		"no bits":           {riff(format(1, 1, 44100, 0), data), outcome{err: "0 bits"}},
		"no rate":           {riff(format(1, 1, 0, 16), data), outcome{err: "0 frames a second"}},
		"rate beyond sense": {riff(format(1, 1, -1, 16), data), outcome{err: "4294967295 frames a second"}},
		"ADPCM":             {riff(format(17, 1, 22050, 4), data), outcome{err: "format 0x11"}},
		"MP3 inside":        {riff(format(0x55, 1, 44100, 16), data), outcome{err: "format 0x55"}},
		"packed, no bits":   {riff(padded("fmt ", join(u16(0x31), u16(1), u32(8000), u32(1625), u16(65), u16(0))), data), outcome{err: "format 0x31"}},
		"24 bits in 4 bytes, nobody says how": {riff(padded("fmt ", join(u16(1), u16(1), u32(44100), u32(176400), u16(4), u16(24))), data),
			outcome{err: "4 bytes a frame"}},
	} {
		check(t, name, c.file, c.want)
	}
	for _, bits := range []int{8, 16, 24, 32} {
		for _, channels := range []int{1, 2, 6} {
			file := riff(format(1, channels, 44100, bits), padded("data", pcm(frames*channels, bits)))
			check(t, fmt.Sprintf("%d channels of %d bits", channels, bits), file, outcome{samples: frames * channels})
		}
	}
}

// Full scale and silence come out exactly, whatever the width.
func TestReadExtremes(t *testing.T) {
	for _, c := range []struct {
		tag, bits int
		raw       []byte
		want      []float32
	}{
		{1, 8, []byte{0, 128, 255}, []float32{-1, 0, 127.0 / 128}},
		{1, 16, []byte{0, 0x80, 0, 0, 0xff, 0x7f}, []float32{-1, 0, 32767.0 / 32768}},
		{1, 24, []byte{0, 0, 0x80, 0, 0, 0, 1, 0, 0}, []float32{-1, 0, 1.0 / (1 << 23)}},
		{1, 32, []byte{0, 0, 0, 0x80, 0, 0, 0, 0, 0, 0, 0, 0x40}, []float32{-1, 0, 0.5}},
		{3, 32, join(u32(0xbf800000), u32(0), u32(0x40000000)), []float32{-1, 0, 2}},
		// G.711: the loudest, the quietest, and one between, from its tables 1 and 2.
		{7, 8, []byte{0x00, 0xff, 0x80, 0x0f, 0x8f}, []float32{-8031.0 / 8192, 0, 8031.0 / 8192, -4191.0 / 8192, 4191.0 / 8192}},
		{6, 8, []byte{0x2a, 0xaa, 0xd5, 0x55}, []float32{-4032.0 / 4096, 4032.0 / 4096, 1.0 / 4096, -1.0 / 4096}},
	} {
		file := riff(format(c.tag, 1, 8000, c.bits), padded("data", c.raw))
		got, _, err := readAll(file)
		if err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("format %d, %d bits: got %v, %v, want %v", c.tag, c.bits, got, err, c.want)
		}
	}
}

// The hand-made files with markers in every order.
func TestReadReferenceMarkers(t *testing.T) {
	const folder = "../../testdata/reference/wav"
	data, err := os.ReadFile(filepath.Join(folder, "examples_hex.json"))
	if err != nil {
		t.Fatal(err)
	}
	var examples map[string]struct{ Hex string }
	if err := json.Unmarshal(data, &examples); err != nil {
		t.Fatal(err)
	}
	two := []audio.Marker{{Frame: 2, Label: "GO"}, {Frame: 5, Label: "STOP"}}
	want := map[string][]audio.Marker{
		"markers_after_data.wav": two, "markers_before_data.wav": two, "markers_ltxt_region.wav": two,
		"markers_labl_then_ltxt.wav": two, "adtl_before_cue.wav": two, "bext.wav": nil,
		"odd_data_24bit_mono.wav": {{Frame: 1, Label: "A"}},
	}
	for name, e := range examples {
		file, err := hex.DecodeString(e.Hex)
		if err != nil {
			t.Fatal(err)
		}
		if onDisk, err := os.ReadFile(filepath.Join(folder, name)); err != nil || !bytes.Equal(onDisk, file) {
			t.Errorf("%s is not as its hex says (%v)", name, err)
		}
		r, err := NewReader(bytes.NewReader(file), int64(len(file)))
		if name == "rf64.wav" || name == "bw64.wav" {
			var unsupported audio.UnsupportedError
			if !errors.As(err, &unsupported) {
				t.Errorf("%s: error %v", name, err)
			}
			continue
		}
		if err != nil || !reflect.DeepEqual(r.Info.Markers, want[name]) || len(r.Info.Warnings) > 0 {
			t.Errorf("%s: markers %v, want %v (%v, %q)", name, r.Info.Markers, want[name], err, r.Info.Warnings)
		}
	}
}

// A file read in odd blocks, or by a reader that gives an error, is no other file.
func TestReaderInBlocks(t *testing.T) {
	file := riff(format(1, 2, 44100, 24), padded("data", pcm(2*frames, 24)))
	want, _, _ := readAll(file)
	for _, size := range []int{2, 3, 7, 479, 1 << 16} {
		r, err := NewReader(bytes.NewReader(file), int64(len(file)))
		if err != nil {
			t.Fatal(err)
		}
		var got []float32
		block := make([]float32, size)
		for {
			n, err := r.Read(block)
			if n%2 != 0 {
				t.Fatalf("block of %d: %d samples are no whole frames", size, n)
			}
			got = append(got, block[:n]...)
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("blocks of %d give other samples", size)
		}
	}
	// A file that shrinks while it is read.
	r, err := NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	r.file = bytes.NewReader(file[:100])
	if _, err := r.Read(make([]float32, 2000)); err == nil {
		t.Error("a file that shrank gave no error")
	}
}

func FuzzRead(f *testing.F) {
	files, _ := filepath.Glob("../../testdata/cases/wav/*")
	more, _ := filepath.Glob("../../testdata/reference/wav/*.wav")
	for _, path := range append(files, more...) {
		if data, err := os.ReadFile(path); err == nil {
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		samples, info, err := readAll(file)
		if err != nil {
			return
		}
		if len(samples) > len(file) || info.Frames*int64(info.Channels) != int64(len(samples)) {
			t.Errorf("%d samples, %d frames of %d channels from %d bytes", len(samples), info.Frames, info.Channels, len(file))
		}
		for _, v := range samples {
			if v-v != 0 {
				t.Fatal("a sample is no number")
			}
		}
	})
}

func BenchmarkRead(b *testing.B) {
	file := riff(format(1, 1, 48000, 16), padded("data", pcm(1<<19, 16)))
	b.SetBytes(int64(len(file)))
	for b.Loop() {
		if _, _, err := readAll(file); err != nil {
			b.Fatal(err)
		}
	}
}
