package strict

import "reflect"

// Schema returns the JSON Schema of a type that Decode reads, built from the
// type's keys, its docs and its leaves.
func Schema(t reflect.Type) map[string]any {
	if leaf, ok := reflect.New(t).Interface().(Leaf); ok {
		return leaf.Schema()
	}
	switch t.Kind() {
	case reflect.Pointer:
		return Schema(t.Elem())
	case reflect.Slice:
		return map[string]any{"type": "array", "items": Schema(t.Elem())}
	}
	properties, required := map[string]any{}, []string{}
	for _, k := range Keys(t) {
		s := Schema(k.Type)
		k.bounds.describe(s)
		if k.Doc != "" {
			s["description"] = k.Doc
		}
		if k.Filled {
			s["minItems"] = 1
		}
		properties[k.Name] = s
		if k.Required {
			required = append(required, k.Name)
		}
	}
	s := map[string]any{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		s["required"] = required
	}
	return s
}
