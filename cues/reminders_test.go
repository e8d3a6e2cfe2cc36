package cues_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"cuewright/cues"
	"cuewright/cues/kind"
	"cuewright/cues/phrase"
	"cuewright/plan/class/role"
	"cuewright/plan/value"
)

// TestRemindersOfClasses: over the twelve classes no length of silence before a reminder is heard more than one time in five,
// and those who work are spoken to at most half as often as the others.
func TestRemindersOfClasses(t *testing.T) {
	files, _ := filepath.Glob("../testdata/plans/forms/*.yaml")
	classes, both := 0, 0
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(data), "\nclass:") && !strings.HasPrefix(string(data), "class:") {
			continue
		}
		c := unfold(t, string(data))
		l := cues.Schedule(c, phrase.English(), brisk())
		roles := role.Of(c)
		silences, said := map[time.Duration]int{}, map[bool]float64{}
		end, n := -c.Opening, 0
		for i := range l.Cues {
			q := &l.Cues[i]
			if q.Kind == kind.Reminder {
				n++
				silences[(q.Start-end).Round(2*time.Second)]++
				if c.Segments[q.Segment].Length >= 90*time.Second {
					said[roles[q.Segment].Role == value.Work]++
				}
			}
			end = max(end, q.End())
		}
		if n >= 10 {
			classes++
			for silence, times := range silences {
				if 5*times > n {
					t.Errorf("%s: %d of %d silences last %v", path, times, n, silence)
				}
			}
		}
		minutes := map[bool]float64{}
		for i := range c.Segments {
			if s := &c.Segments[i]; s.Length >= 90*time.Second {
				minutes[roles[i].Role == value.Work] += s.Length.Minutes()
			}
		}
		if minutes[true] > 0 && minutes[false] > 0 {
			both++
			if work, easy := said[true]/minutes[true], said[false]/minutes[false]; work > easy/2 {
				t.Errorf("%s: %.2f reminders a minute of work, %.2f of the rest", path, work, easy)
			}
		}
	}
	if classes < 8 || both < 5 {
		t.Errorf("%d classes with ten and more, %d with both", classes, both)
	}
}
