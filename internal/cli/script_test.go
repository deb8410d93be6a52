package cli_test

import (
	"context"
	"os"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/rogpeppe/go-internal/testscript"

	"facings/internal/cli"
)

// TestMain lets the scripts run the real command line as "facings".
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"facings": func() {
			p := cli.Stdio("test")
			p.Now = func() time.Time { return time.Date(2027, 1, 4, 9, 0, 0, 0, time.UTC) }
			os.Exit(p.Main(context.Background(), os.Args[1:]))
		},
	})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata/script"})
}
