package plan_test

import (
	"cuewright/plan"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gopkg.in/yaml.v3"
)

// beyondSchema are the bad plans that a schema cannot refuse: what is wrong lies
// between two values, in the YAML itself, or in a sum.
var beyondSchema = []string{"colon", "distance-feel", "distance-in-later-sets", "outline", "nested-sets", "each", "ramp", "one-blank", "remainder-short", "remainder", "tab",
	"after-the-end", "say-at-the-end", "alias", "fast-end-first", "half-incline", "no-target", "effort-without-speed", "feel-and-speed",
	"not-yaml", "octal", "pace-in-kmh", "repeated-key", "say-outside", "say-set", "speed-in-pace",
	"too-many-segments", "too-many-sets", "too-short", "two-decimals", "two-documents", "unclosed", "unknown-effort",
	"wrong-length", "length-short", "length-over", "length-set", "length-uneven", "length-part", "length-far",
}

// TestSchema holds the generated schema against every plan of testdata and
// samples with a JSON Schema library.
func TestSchema(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(string(plan.Schema())))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("plan.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("plan.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	validate := func(file string) error {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var v any
		if err := yaml.Unmarshal(data, &v); err != nil {
			return nil // no data at all: nothing a schema sees
		}
		return schema.Validate(v)
	}
	good, _ := filepath.Glob("../testdata/plans/good/*.yaml")
	samples, _ := filepath.Glob("../samples/*.yaml")
	if len(good) < 6 || len(samples) < 2 {
		t.Fatalf("%d good plans and %d samples found", len(good), len(samples))
	}
	for _, file := range append(good, samples...) {
		if err := validate(file); err != nil {
			t.Errorf("%s: the schema refuses a good plan: %v", file, err)
		}
	}
	bad, _ := filepath.Glob("../testdata/plans/bad/*.yaml")
	for _, file := range bad {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		if beyond := slices.Contains(beyondSchema, name); (validate(file) == nil) != beyond {
			t.Errorf("%s: the schema's verdict is %v; refused is expected: %v", name, validate(file), !beyond)
		}
	}
}

// TestEveryKeyIsThere: every-key.yaml has every key that the schema knows.
func TestEveryKeyIsThere(t *testing.T) {
	data, err := os.ReadFile("../testdata/plans/good/every-key.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var schema any
	if err := json.Unmarshal(plan.Schema(), &schema); err != nil {
		t.Fatal(err)
	}
	keys := 0
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case []any:
			for _, x := range v {
				walk(x)
			}
		case map[string]any:
			properties, _ := v["properties"].(map[string]any)
			for key := range properties {
				keys++
				if !regexp.MustCompile(`(?m)(^|[ {])` + key + `:`).Match(data) {
					t.Errorf("every-key.yaml does not have the key %q", key)
				}
			}
			for _, x := range v {
				walk(x)
			}
		}
	}
	walk(schema)
	if keys < 50 {
		t.Errorf("only %d keys were looked for", keys)
	}
}
