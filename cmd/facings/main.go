// Command facings plans the painting of historical miniatures in batches.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // a calendar's zone is known on every machine

	"facings/internal/cli"
)

// version is set by release builds.
var version = "development"

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	program := cli.Stdio(version)
	program.Serve = serve
	status := program.Main(ctx, os.Args[1:])
	stop()
	os.Exit(status)
}
