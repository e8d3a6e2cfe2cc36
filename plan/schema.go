package plan

import (
	"encoding/json"
	"reflect"

	"cuewright/plan/parts"
	"cuewright/plan/strict"
)

func schemaOf[T any]() map[string]any { return strict.Schema(reflect.TypeFor[T]()) }

// Schema returns the JSON Schema (draft 2020-12) of plan files, generated from
// the types that read them.
func Schema() []byte {
	s := schemaOf[Plan]()
	s["$defs"] = map[string]any{"item": map[string]any{"oneOf": []any{schemaOf[parts.Segment](), schemaOf[parts.Block]()}}}
	s["anyOf"] = []any{map[string]any{"required": []string{"units"}}, map[string]any{"required": []string{"common"}}}
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["title"] = "cuewright plan"
	out, err := json.MarshalIndent(s, "", "  ")
	if err != nil {
		panic(err) // maps of plain values
	}
	return append(out, '\n')
}
