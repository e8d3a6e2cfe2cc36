package faults

import "time"

const (
	leadLimit = 1000 * time.Millisecond // before the words
	tailLimit = 1500 * time.Millisecond // behind them

	// pauseLimit is the pause over which the rest of the words is left out, as in
	// trimming.
	pauseLimit = 600 * time.Millisecond

	// Words last 0.2 to 1 s and phrases of several words up to 2.6 s (measured for
	// this project); nobody who reads one phrase needs more than this.
	speechBase    = 1500 * time.Millisecond
	speechPerWord = time.Second
)

// long tells at most one of its faults, the worst.
func long(r *recording) []Fault {
	length := func(frames int) time.Duration { return r.rate.Length(int64(frames)) }
	fault := func(s Severity, is, limit time.Duration, unit, advice string) []Fault {
		return []Fault{{Long, s, is.Seconds(), limit.Seconds(), unit, advice}}
	}
	if is, limit := length(r.speech.To-r.speech.From), speechBase+time.Duration(max(1, r.words))*speechPerWord; is > limit {
		return fault(Error, is, limit, "s of speech", "far longer than its text: record only what the file is named after")
	}
	if is := max(r.speech.Before, r.speech.After); is > pauseLimit {
		return fault(Warning, is, pauseLimit, "s of pause", "only the speech on one side of the pause is used: record one phrase a file, in one go")
	}
	if is := length(r.speech.From); is > leadLimit {
		return fault(Warning, is, leadLimit, "s before the words", "the silence is cut off by itself: nothing needs doing")
	}
	if is := length(len(r.x) - r.speech.To); is > tailLimit {
		return fault(Warning, is, tailLimit, "s after the words", "the silence is cut off by itself: nothing needs doing")
	}
	return nil
}
