package script

import (
	_ "embed"
	"html/template"
	"io"

	"cuewright/plan/units"
)

//go:embed sheet.html
var sheetText string

var sheet = template.Must(template.New("sheet").Funcs(template.FuncMap{"clock": units.FormatClock}).Parse(sheetText))

// Sheet writes the script as a page to print and tick off. titles are the
// names of the classes.
func (s Script) Sheet(w io.Writer, language string, titles []string) error {
	return sheet.Execute(w, struct {
		Script
		Language string
		Titles   []string
	}{s, language, titles})
}
