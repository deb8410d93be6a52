package cli_test

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"facings/internal/cli"
	"facings/internal/projectfile"
)

// The fault that the README shows is what a slip in the starter project gives.
func TestTheReadmesFaultIsWhatIsSaid(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	text := bytes.Replace(projectfile.Starter(), []byte("gaiters: carbon black"), []byte("gaiters: carbn black"), 1)
	if err := os.WriteFile("army.yaml", text, 0o600); err != nil {
		t.Fatal(err)
	}
	var out, said strings.Builder
	p := &cli.Program{Out: &out, Err: &said}
	if status := p.Main(context.Background(), []string{"check", "army.yaml"}); status != 1 {
		t.Errorf("status %d", status)
	}
	if said.Len() == 0 || !strings.Contains(string(readme), "```\n"+said.String()+"```") {
		t.Errorf("the README shows nothing like this:\n%s", said.String())
	}
}
