package main

import (
	"context"
	"fmt"
	"io"
	"log"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"time"

	"facings/internal/app"
	"facings/internal/cli"
	"facings/internal/store"
	"facings/internal/web"
)

// serve joins database, use cases and pages.
func serve(ctx context.Context, opt cli.ServeOptions, out io.Writer) (err error) {
	db, err := store.Open(opt.DB, store.Options{Log: slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))})
	if err != nil {
		return err
	}
	defer func() {
		if e := db.Close(); err == nil {
			err = e
		}
	}()
	ctx, stop := context.WithCancel(ctx)
	var background sync.WaitGroup
	defer background.Wait()
	defer stop()
	background.Go(func() { db.Schedule(ctx, store.BackupFolder(opt.DB), 0, 0) })

	desk := app.NewDesk(&app.App{Now: time.Now}, db)
	defer desk.Close()
	if err := keepFirst(ctx, desk, opt); err != nil {
		return err
	}
	pages := web.New(web.Config{Desk: desk, Keeper: db, Version: version, Demo: opt.Demo, Log: log.New(os.Stderr, "facings: ", 0)})
	fmt.Fprintf(out, "Database: %s\n", opt.DB)
	return pages.Serve(ctx, web.Options{Addr: opt.Addr, AnyPort: opt.AnyPort, LAN: opt.LAN, Out: out,
		CertFile: strings.TrimSuffix(opt.DB, filepath.Ext(opt.DB)) + "-certificate.pem",
		Ready: func(address string) {
			if opt.Open {
				open(address)
			}
		}})
}

// keepFirst takes projects into a database that holds none yet.
func keepFirst(ctx context.Context, desk *app.Desk, opt cli.ServeOptions) error {
	if len(opt.Import) == 0 {
		return nil
	}
	list, err := desk.Projects(ctx, false)
	if err != nil || len(list) > 0 {
		return err
	}
	for _, f := range opt.Import {
		data, err := os.ReadFile(f)
		if err != nil {
			return err
		}
		head, err := desk.Import(ctx, "", "", data)
		if err != nil {
			return fmt.Errorf("%s: %w", f, err)
		}
		if plan := opt.Planned[f]; plan != nil {
			if err := desk.KeepPlan(ctx, head.Kept.ID, plan); err != nil {
				return err
			}
		}
	}
	return nil
}

// open asks the system to show an address; where it cannot, the address stands
// on the terminal anyway.
func open(address string) {
	command := []string{"xdg-open", address}
	switch runtime.GOOS {
	case "darwin":
		command[0] = "open"
	case "windows":
		command = []string{"rundll32", "url.dll,FileProtocolHandler", address}
	}
	c := exec.Command(command[0], command[1:]...)
	if c.Start() == nil {
		go c.Wait() // its own affair from here
	}
}
