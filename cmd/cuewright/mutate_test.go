package main

import (
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"strconv"
)

// mutate spoils a mono WAV file of 16 bit, as cuewright writes it, for the scripts
// that test verify: mutate HOW FROM.wav TO.wav [NUMBER…], all numbers being frames.
func mutate() {
	var n []int
	for _, a := range os.Args[4:] {
		v, err := strconv.Atoi(a)
		if err != nil {
			fail(err)
		}
		n = append(n, v)
	}
	file, err := os.ReadFile(os.Args[2])
	if err != nil {
		fail(err)
	}
	const head = 44
	le := binary.LittleEndian
	length := int(le.Uint32(file[40:]))
	tail := file[head+length:]
	x := make([]int16, length/2)
	for i := range x {
		x[i] = int16(le.Uint16(file[head+2*i:]))
	}
	switch how := os.Args[1]; how {
	case "move": // FROM TO BY: a sound to another place
		part := append([]int16(nil), x[n[0]:n[1]]...)
		clear(x[n[0]:n[1]])
		copy(x[n[0]+n[2]:], part)
	case "erase": // FROM TO
		clear(x[n[0]:n[1]])
	case "swap": // FROM TO OTHER OTHERTO: one sound in place of another
		part := append([]int16(nil), x[n[2]:n[3]]...)
		clear(x[n[0]:n[1]])
		copy(x[n[0]:], part)
	case "louder": // by hundredths of a dB
		for i, v := range x {
			x[i] = int16(math.Round(float64(v) * math.Pow(10, float64(n[0])/2000)))
		}
	case "clip": // the highest peak, to twice its height
		at := 0
		for i, v := range x {
			if v > x[at] {
				at = i
			}
		}
		for i := at - 3; i <= at+3; i++ {
			x[i] = int16(min(2*int(x[i]), math.MaxInt16))
		}
	case "cut": // so many frames from the front
		x = x[n[0]:]
	case "lose": // AT FRAMES: some from the middle, made up for at the end
		x = append(append(x[:n[0]:n[0]], x[n[0]+n[1]:]...), make([]int16, n[1])...)
	case "mark": // INDEX BY: a marker
		at := 12 + 24*n[0] + 20 // of the chunk's own head, its count, and the points before
		le.PutUint32(tail[at:], le.Uint32(tail[at:])+uint32(n[1]))
	default:
		fail(fmt.Errorf("no such way: %s", how))
	}
	out := append([]byte(nil), file[:head]...)
	le.PutUint32(out[40:], uint32(2*len(x)))
	for _, v := range x {
		out = le.AppendUint16(out, uint16(v))
	}
	out = append(out, tail...)
	le.PutUint32(out[4:], uint32(len(out)-8))
	if err := os.WriteFile(os.Args[3], out, 0o644); err != nil {
		fail(err)
	}
}

func fail(err error) {
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}
