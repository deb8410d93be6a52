package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"strconv"

	"github.com/spf13/cobra"

	"facings/internal/app"
)

// ServeOptions say what pages are served, where and to whom.
type ServeOptions struct {
	DB   string // the database file; made if there is none
	Addr string // of the machine itself
	// AnyPort takes a free port where the one asked for is taken.
	AnyPort bool
	LAN     bool // let paired devices on the network in too
	Open    bool // open the pages in the browser
	Demo    bool
	// Import are project files to be kept if the database holds no project yet.
	Import []string
	// Planned are plans of some of those files, made a moment ago.
	Planned map[string]*app.Plan
}

// Server serves the pages until ctx ends, and says on out where they are.
type Server func(ctx context.Context, opt ServeOptions, out io.Writer) error

// defaultAddr is where the pages are; the port is none that the list of
// well-known services gives to another (IANA registry, user ports, from memory).
const defaultAddr = "127.0.0.1:4380"

func (p *Program) serve() *cobra.Command {
	var opt ServeOptions
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Serve the pages over a database of projects",
		Long: `Serves the pages at an address that only this machine can reach, over a database
file that holds projects, every revision of them, their files and the progress at
the bench. Without --db that is facings.db in your own settings folder. Copies of
it are made once a day in a folder beside it.

--lan lets other devices on your network in, over TLS, once each was paired by a
code shown here and on the pages.`,
		Example: "  facings serve\n  facings serve --db army.db --open\n  facings serve --lan",
		Args:    exactly(0, "no argument, only flags"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := ownAddress(opt.Addr); err != nil {
				return usageError{err}
			}
			if opt.DB == "" {
				path, err := ownDatabase()
				if err != nil {
					return err
				}
				opt.DB = path
			}
			opt.AnyPort = !cmd.Flags().Changed("addr")
			if p.Serve == nil {
				return errors.New("this build has no pages to serve")
			}
			return p.Serve(cmd.Context(), opt, p.Out)
		},
	}
	cmd.Flags().StringVar(&opt.DB, "db", "", "database file (default: facings.db in your settings folder)")
	cmd.Flags().StringVar(&opt.Addr, "addr", defaultAddr, "address and port on this machine; port 0 takes a free one")
	cmd.Flags().BoolVar(&opt.LAN, "lan", false, "let paired devices on your network in, over TLS")
	cmd.Flags().BoolVar(&opt.Open, "open", false, "open the pages in your browser")
	return cmd
}

// ownAddress reports whether an address is one that only this machine reaches.
func ownAddress(addr string) error {
	host, port, err := net.SplitHostPort(addr)
	if err != nil {
		return fmt.Errorf("--addr %s: give an address and a port, such as %s", addr, defaultAddr)
	}
	if n, err := strconv.Atoi(port); err != nil || n < 0 || n > 65535 {
		return fmt.Errorf("--addr %s: %s is no port; give 0 to 65535", addr, port)
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return fmt.Errorf("--addr %s: other machines could reach this address; give 127.0.0.1 with a port, and --lan to let paired devices in", addr)
	}
	return nil
}

// ownDatabase is the database of whoever names none; its folder is made.
func ownDatabase() (string, error) {
	settings, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("there is no settings folder (%w); name a database with --db FILE", err)
	}
	folder := filepath.Join(settings, "facings")
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", fmt.Errorf("%w; name a database with --db FILE", err)
	}
	return filepath.Join(folder, "facings.db"), nil
}
