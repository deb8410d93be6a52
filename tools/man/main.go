// Command man writes the program's man pages, one for each command, from the
// same texts as --help shows:
//
//	go run ./tools/man FOLDER
package main

import (
	"fmt"
	"os"
	"time"

	"github.com/spf13/cobra/doc"

	"facings/internal/cli"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: man FOLDER")
		os.Exit(2)
	}
	if err := run(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "man:", err)
		os.Exit(1)
	}
}

func run(folder string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	p := &cli.Program{}
	date := time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC) // fixed: the same pages give the same bytes
	return doc.GenManTree(p.Command(), &doc.GenManHeader{Title: "FACINGS", Section: "1", Source: "Facings", Manual: "Facings", Date: &date}, folder)
}
