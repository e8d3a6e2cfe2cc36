package job

import (
	"context"
	"fmt"

	"cuewright/audio/draft"
	"cuewright/cues/phrase"
	"cuewright/cues/script"
	"cuewright/cues/track"
	"cuewright/plan/class"
)

// standIn has a computer voice speak every text that the classes may need and their
// voice has no recording of.
func (j *Job) standIn(ctx context.Context, book *phrase.Book, classes []*class.Class) error {
	var texts []string
	for _, m := range script.Write(classes, book, j.Speaker).Missing {
		texts = append(texts, m.Text)
	}
	if len(texts) == 0 {
		return nil
	}
	voice, err := draft.Make(ctx, texts, book.Language.Value)
	if err != nil {
		return err
	}
	j.Drafted = fmt.Sprintf("%d texts that are not recorded are spoken by %s", len(texts), voice.Engine)
	if voice.Engine == "" {
		j.Drafted = fmt.Sprintf("%d texts that are not recorded are soft tones, for want of flite or espeak-ng", len(texts))
	}
	j.Speaker, err = track.OpenSpeaker(ctx, voice.Over(j.files), book, j.Plan.Track, j.options.Cache)
	return err
}
