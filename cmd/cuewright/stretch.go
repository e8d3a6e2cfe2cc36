package main

import (
	"errors"
	"flag"
	"math"
	"strings"
	"time"

	"cuewright/cues/track"
	"cuewright/plan/units"
)

// stretchOptions are the options for hearing one place of a track.
func stretchOptions(f *flag.FlagSet, s *settings) {
	f.Var(&s.from, "from", "write the track only from this `CLOCK` time of the class on: 12:30, 5m, or -10s for the opening")
	f.Var(&s.length, "for", "and only for this `TIME`: 45s or 1:30")
}

// A moment is a time given on the command line.
type moment struct {
	time.Duration
	given bool
}

// String is the time as problems show it.
func (m *moment) String() string {
	if !m.given {
		return ""
	}
	return units.FormatClock(m.Duration)
}

// Set takes a clock time, h:mm:ss or mm:ss with decimals, or a duration of Go.
func (m *moment) Set(text string) error {
	d, err := time.ParseDuration(text)
	if err != nil {
		if d, err = clockTime(text); err != nil {
			return err
		}
	}
	const longest = 24 * time.Hour
	if d > longest || d < -longest {
		return errors.New("beyond any class")
	}
	*m = moment{d, true}
	return nil
}

// clockTime reads h:mm:ss or mm:ss, with decimals and a sign.
func clockTime(text string) (time.Duration, error) {
	wrong := errors.New("give a clock time such as 12:30 or a duration such as 90s")
	digits, negative := strings.CutPrefix(text, "-")
	parts := strings.Split(digits, ":")
	if len(parts) < 2 || len(parts) > 3 {
		return 0, wrong
	}
	var d time.Duration
	for i, p := range parts {
		unit, last := []string{"h", "m", "s"}[i+3-len(parts)], i == len(parts)-1
		if p == "" || strings.Trim(p, "0123456789.") != "" || !last && strings.Contains(p, ".") {
			return 0, wrong
		}
		v, err := time.ParseDuration(p + unit)
		if err != nil || i > 0 && v >= 60*map[string]time.Duration{"m": time.Minute, "s": time.Second}[unit] {
			return 0, wrong
		}
		d += v
	}
	if negative {
		d = -d
	}
	return d, nil
}

// part is whether a stretch was asked for.
func (s *settings) part() bool { return s.from.given || s.length.given }

// checkStretch makes sure that the stretch asked for makes sense.
func (s *settings) checkStretch() error {
	switch {
	case s.length.given && s.length.Duration <= 0:
		return usageError("--for must be longer than nothing")
	case s.part() && (s.captions || s.list):
		return usageError("--captions and --list stand beside a whole track: leave out --from and --for")
	}
	return nil
}

// stretch cuts a track to what was asked for.
func (s *settings) stretch(t *track.Track) (*track.Track, error) {
	from, to := time.Duration(math.MinInt64), time.Duration(math.MaxInt64)
	if s.from.given {
		from = s.from.Duration
	}
	if s.length.given {
		to = max(from, t.Start()) + s.length.Duration
	}
	return t.Part(from, to)
}

// stretchName is what a stretch adds to the name of its file.
func (s *settings) stretchName() string {
	if !s.part() {
		return ""
	}
	name := "-from-start"
	if s.from.given {
		name = "-from-" + units.FormatDuration(s.from.Duration)
	}
	if s.length.given {
		name += "-for-" + units.FormatDuration(s.length.Duration)
	}
	return name
}
