package plan

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"

	"cuewright/plan/problem"
	"cuewright/plan/settings"
	"cuewright/plan/strict"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// common reads the file that the plan shares with others, before the plan, which then wins: efforts and paces by their
// names and the count, each as a whole, everything else key by key. Its paths are from its own folder, its speeds in its own unit.
func (p *Plan) common(data []byte, r *strict.Reader) {
	var first struct {
		Common strict.Text `key:"common"`
		Calls  struct {
			Count settings.Count `key:"count"`
		} `key:"calls"`
	}
	if !bytes.Contains(data, []byte("common")) {
		return
	}
	strict.Decode(data, &first, new(strict.Reader))
	if !first.Common.Pos.IsSet() {
		return
	}
	p.CommonFile = p.beside(first.Common.Value)
	info, err := os.Stat(p.CommonFile)
	if err == nil && !info.Mode().IsRegular() { // a pipe may never end
		err = fmt.Errorf("%s is no file", p.CommonFile)
	}
	var text []byte
	if err == nil {
		text, err = strict.ReadFile(p.CommonFile)
	}
	if err != nil {
		r.ErrorfAt(first.Common.Pos, "there is no common file to read: %v", err)
		p.CommonFile = ""
		return
	}
	of := strict.Reader{File: p.CommonFile, Kind: problem.Plan, Beside: true}
	strict.Decode(text, &p.Shared, &of)
	for _, bad := range of.Problems() {
		r.ErrorfAt(bad.Pos, "%s", bad.Message)
	}
	if own := first.Calls.Count; own.From.Pos.IsSet() || own.With.Pos.IsSet() { // it is taken as a whole
		p.Calls.Count = defaults().Calls.Count
	}
	folder := filepath.Dir(first.Common.Value)
	for _, path := range []*strict.Text{&p.Voice, &p.Bed.File} {
		if path.Pos.IsSet() && !filepath.IsAbs(path.Value) {
			path.Value = filepath.Join(folder, path.Value)
		}
	}
	if u := p.Units; u.Pos.IsSet() {
		p.writtenIn(u.Value)
	}
}

// writtenIn keeps the unit that speeds are written in with them.
func (p *Plan) writtenIn(u units.Unit) {
	mark := func(s *value.Speeds) {
		if s.Pos.IsSet() {
			s.Own = u
		}
	}
	for i := range p.Efforts.Items {
		mark(&p.Efforts.Items[i].Speed)
	}
	for i := range p.Paces.Items {
		mark(&p.Paces.Items[i])
	}
}

// beside is a path of the plan as seen from here.
func (p *Plan) beside(path string) string {
	if filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(filepath.Dir(p.File), path)
}
