package options

import (
	"errors"
	"flag"
	"strings"
	"time"

	"cuewright/cmd/cuewright/cli"
	"cuewright/cues/track"
	"cuewright/plan/units"
)

// Excerpt are the options for hearing one place of a track.
type Excerpt struct{ from, length timeFlag }

// Define adds the options to a command's.
func (o *Excerpt) Define(f *flag.FlagSet) {
	f.Var(&o.from, "from", "write the track only from this `CLOCK` time of the class on: 12:30, 5m, or -10s for the opening")
	f.Var(&o.length, "for", "and only for this `TIME`: 45s or 1:30")
}

// Read is the excerpt asked for; the error is for one that makes no sense.
func (o *Excerpt) Read() (track.Excerpt, error) {
	if o.length.given && o.length.Duration <= 0 {
		return track.Excerpt{}, cli.UsageError("--for must be longer than nothing")
	}
	return track.Excerpt{Later: o.from.given, From: o.from.Duration, Length: o.length.Duration}, nil
}

// Name is what an excerpt adds to the name of its file.
func (o *Excerpt) Name() string {
	if !o.from.given && !o.length.given {
		return ""
	}
	name := "-from-start"
	if o.from.given {
		name = "-from-" + units.FormatDuration(o.from.Duration)
	}
	if o.length.given {
		name += "-for-" + units.FormatDuration(o.length.Duration)
	}
	return name
}

// A timeFlag is a time given on the command line.
type timeFlag struct {
	time.Duration
	given bool
}

// String is the time as problems show it.
func (m *timeFlag) String() string {
	if !m.given {
		return ""
	}
	return units.FormatClock(m.Duration)
}

// Set takes a clock time, h:mm:ss or mm:ss with decimals, or a duration of Go.
func (m *timeFlag) Set(text string) error {
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
	*m = timeFlag{d, true}
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
