package export

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"cuewright/cues"
)

// VTT writes captions for runners who do not hear well, one for each call and
// for each second of a count (W3C WebVTT, section "WebVTT file structure").
func VTT(w io.Writer, l *cues.List) error {
	out := bufio.NewWriter(w)
	fmt.Fprintf(out, "WEBVTT %s\n", caption(l.Title))
	type entry struct {
		from, to int64
		text     string
	}
	var entries []entry
	for i := range l.Cues {
		from, to := Milliseconds(l, &l.Cues[i])
		entries = append(entries, entry{from, to, l.Cues[i].Text})
	}
	// A counted word starts before its mark, so the order of the list is not that
	// of the starts, which WebVTT asks for.
	slices.SortStableFunc(entries, func(a, b entry) int { return cmp.Compare(a.from, b.from) })
	for _, e := range entries {
		fmt.Fprintf(out, "\n%s --> %s\n%s\n", timestamp(e.from), timestamp(e.to), caption(e.text))
	}
	return out.Flush()
}

// caption escapes a text; "-->" cannot survive the escape of ">".
func caption(text string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(strings.Join(strings.Fields(text), " "))
}

// timestamp writes milliseconds as hh:mm:ss.ttt.
func timestamp(ms int64) string {
	return fmt.Sprintf("%02d:%02d:%02d.%03d", ms/3_600_000, ms/60_000%60, ms/1000%60, ms%1000)
}
