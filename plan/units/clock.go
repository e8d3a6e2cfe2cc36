package units

import (
	"fmt"
	"strings"
	"time"
)

// FormatClock writes a class time as mm:ss.m (tenths rounded down, so that a time
// never shows before it is reached); times before the first segment are
// negative. Minutes go on past 59, as a coach counts.
func FormatClock(t time.Duration) string {
	sign := ""
	if t < 0 {
		sign, t = "-", -t
		t += 99 * time.Millisecond // down, away from zero
	}
	tenths := t / (100 * time.Millisecond)
	if tenths == 0 {
		sign = ""
	}
	return fmt.Sprintf("%s%02d:%02d.%d", sign, tenths/600, tenths/10%60, tenths%10)
}

// FormatLength writes a length of time as m:ss, with hours as h:mm:ss from one hour
// on and thousandths only where there are any.
func FormatLength(t time.Duration) string {
	s := t / time.Second
	out := fmt.Sprintf("%d:%02d", s/60, s%60)
	if s >= 3600 {
		out = fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	if rest := t % time.Second; rest != 0 {
		out += strings.TrimRight(fmt.Sprintf(".%03d", rest/time.Millisecond), "0")
	}
	return out
}

// FormatDuration writes a duration in Go's notation without the parts that are zero: "2m", "1h30m".
func FormatDuration(d time.Duration) string {
	if d == 0 {
		return "0s"
	}
	out := ""
	if d < 0 {
		out, d = "-", -d
	}
	for _, u := range []struct {
		size time.Duration
		name string
	}{{time.Hour, "h"}, {time.Minute, "m"}} {
		if n := d / u.size; n > 0 {
			out += fmt.Sprintf("%d%s", n, u.name)
			d %= u.size
		}
	}
	if d > 0 {
		out += d.String()
	}
	return out
}
