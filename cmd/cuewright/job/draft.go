package job

import (
	"context"
	"fmt"
	"os"
	"slices"

	"cuewright/audio/draft"
	"cuewright/cues"
	"cuewright/cues/edit"
	"cuewright/cues/phrase"
	"cuewright/cues/script"
	"cuewright/cues/track"
	"cuewright/plan/class"
)

// standIn has a computer voice speak every text of a plan's jobs that their voice has no
// recording of.
func (j *Job) standIn(ctx context.Context, book *phrase.Book, jobs []*Job) error {
	texts, err := j.lacking(book, jobs)
	if len(texts) == 0 || err != nil {
		return err
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

// lacking are the texts of jobs, those that their classes may need and those of an edited
// list, that the voice has no recording of. Those of a class are cut into what is worth
// recording; those of a list are whole.
func (j *Job) lacking(book *phrase.Book, jobs []*Job) ([]string, error) {
	var classes []*class.Class
	for _, of := range jobs {
		classes = append(classes, of.Class)
	}
	var texts []string
	for _, m := range script.Write(classes, book, j.Speaker).Missing {
		texts = append(texts, m.Text)
	}
	if j.options.CueList == "" {
		return texts, nil
	}
	data, err := os.ReadFile(j.options.CueList)
	if err != nil {
		return nil, err
	}
	for _, of := range jobs {
		// Only the texts count here: whatever is wrong with the list is said when it is read
		// beside the plan's own.
		list, _ := edit.Read(j.options.CueList, data, &cues.List{Class: of.Class, Book: book}, j.Speaker)
		if list == nil {
			return texts, nil
		}
		for _, q := range list.Cues {
			if _, missing := j.Speaker.Measure(q.Text); len(missing) > 0 && !slices.Contains(texts, q.Text) {
				texts = append(texts, q.Text)
			}
		}
	}
	return texts, nil
}
