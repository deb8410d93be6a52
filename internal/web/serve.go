package web

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"time"
)

// Options say where to serve.
type Options struct {
	Addr string // of the machine itself, such as 127.0.0.1:4380
	// AnyPort takes a free port where that of Addr is taken.
	AnyPort bool
	LAN     bool
	// CertFile is where the certificate is kept.
	CertFile string
	Out      io.Writer // hears where the pages are
	// Ready, if set, is called with the address once the pages can be opened.
	Ready func(address string)
}

// shutdownTime is how long running requests may take to end.
const shutdownTime = 5 * time.Second

// Serve answers requests until ctx ends, then lets running ones finish.
func (s *Server) Serve(ctx context.Context, opt Options) error {
	own, err := net.Listen("tcp", opt.Addr)
	if err != nil && opt.AnyPort {
		host, _, _ := net.SplitHostPort(opt.Addr) // it was listened on
		own, err = net.Listen("tcp", net.JoinHostPort(host, "0"))
	}
	if err != nil {
		return fmt.Errorf("the pages cannot be served at %s: %w; choose another with --addr 127.0.0.1:0", opt.Addr, err)
	}
	at, ok := own.Addr().(*net.TCPAddr)
	if !ok || !at.IP.IsLoopback() {
		own.Close()
		return fmt.Errorf("%s can be reached from other machines; nothing is served there", own.Addr())
	}
	address := "http://" + at.String()
	servers := []*http.Server{s.server(s.Handler(false, []string{"127.0.0.1", "::1", "localhost"}))}
	listeners := []net.Listener{own}
	if opt.LAN {
		remote, listener, err := s.listenLAN(at.Port, opt.CertFile)
		if err != nil {
			own.Close()
			return err
		}
		servers, listeners = append(servers, remote...), append(listeners, listener...)
	}
	failed := make(chan error, len(servers))
	for i := range servers {
		go func() { failed <- servers[i].Serve(listeners[i]) }()
	}
	fmt.Fprintf(opt.Out, "The pages are at %s\n", address)
	if opt.LAN {
		s.sayLAN(opt.Out)
	}
	fmt.Fprintln(opt.Out, "Stop with Ctrl-C; nothing is lost.")
	if opt.Ready != nil {
		opt.Ready(address)
	}
	select {
	case <-ctx.Done():
		err = nil
	case err = <-failed:
	}
	close(s.closing) // ends the streams of events
	end, cancel := context.WithTimeout(context.Background(), shutdownTime)
	defer cancel()
	for _, server := range servers {
		if e := server.Shutdown(end); e != nil && err == nil && !errors.Is(e, context.DeadlineExceeded) {
			err = e
		}
	}
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

func (s *Server) server(h http.Handler) *http.Server {
	return &http.Server{Handler: h, ReadHeaderTimeout: headerTimeout, IdleTimeout: idleTimeout, MaxHeaderBytes: maxHeader, ErrorLog: s.log}
}

// listenLAN listens with TLS on each of the machine's addresses.
func (s *Server) listenLAN(port int, certFile string) ([]*http.Server, []net.Listener, error) {
	hosts, err := lanAddresses()
	if err != nil {
		return nil, nil, err
	}
	if len(hosts) == 0 {
		return nil, nil, errors.New("--lan: this machine has no address on a private network; join one, or leave --lan out")
	}
	cert, print, err := certificate(certFile, hosts, s.now())
	if err != nil {
		return nil, nil, err
	}
	config := &tls.Config{Certificates: []tls.Certificate{cert}, MinVersion: tls.VersionTLS12, NextProtos: []string{"h2", "http/1.1"}}
	var servers []*http.Server
	var listeners []net.Listener
	for _, host := range hosts {
		l, err := net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(port+1)))
		if err != nil && s.lan == nil {
			l, err = net.Listen("tcp", net.JoinHostPort(host, "0"))
		}
		if err != nil {
			continue // another of its addresses may do
		}
		if s.lan == nil {
			s.lan = &lanInfo{address: "https://" + l.Addr().String(), fingerprint: print}
		}
		server := s.server(s.Handler(true, hosts))
		server.TLSConfig = config
		servers, listeners = append(servers, server), append(listeners, tls.NewListener(l, config))
	}
	if s.lan == nil {
		return nil, nil, fmt.Errorf("--lan: none of %v can be listened on", hosts)
	}
	return servers, listeners, nil
}

// sayLAN tells how another device joins.
func (s *Server) sayLAN(out io.Writer) {
	p, err := s.Pairing()
	if err != nil {
		fmt.Fprintf(out, "no device can be paired: %v\n", err)
		return
	}
	fmt.Fprintf(out, "Other devices on this network: %s\n", s.lan.address)
	fmt.Fprintf(out, "To pair one, scan this within ten minutes (it works once; the pages make new ones):\n\n%s\n%s\n\n", p.Terminal(), p.Address)
	fmt.Fprintf(out, "The device will warn that nobody vouches for the certificate, since this machine made it.\nCompare before going on; its SHA-256 is\n%s\n", p.Fingerprint)
}
