package main

import (
	"bytes"
	"context"
	"cuewright/cmd/cuewright/cli"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestDraft: with nothing recorded and no program to speak, a draft is a whole
// track of tones, and says that it is a draft wherever it shows itself.
func TestDraft(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	t.Setenv("PATH", dir)
	if err := os.Mkdir("voices", 0o755); err != nil {
		t.Fatal(err)
	}
	plan := "class: Low Tide\nunits: km/h\nvoice: voices\nefforts:\n  even: {speed: [7.5, 10], incline: 1}\nmain: [{effort: even, for: 30s}]\n"
	if err := os.WriteFile("plan.yaml", []byte(plan), 0o644); err != nil {
		t.Fatal(err)
	}
	var out, errOut bytes.Buffer
	if status := run(context.Background(), []string{"render", "plan.yaml"}, &out, &errOut); status != cli.Problems {
		t.Errorf("without --draft the status is %d", status)
	}
	out.Reset()
	errOut.Reset()
	if status := run(context.Background(), []string{"render", "--draft", "plan.yaml"}, &out, &errOut); status != cli.OK {
		t.Fatalf("status %d: %s", status, errOut.String())
	}
	if !strings.HasPrefix(out.String(), "plan-draft.wav  0:58  -16.0 LUFS") || !strings.Contains(errOut.String(), "plan.yaml: a draft: ") {
		t.Errorf("prints %q and %q", out.String(), errOut.String())
	}
	data, err := os.ReadFile(filepath.Join(dir, "plan-draft.wav"))
	if err != nil || !bytes.Contains(data, []byte("Low Tide (draft)")) {
		t.Errorf("no draft in the title, %v", err)
	}
}
