package web

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// lanInfo is how the network reaches this machine.
type lanInfo struct {
	address     string // https://192.0.2.7:4381
	fingerprint string
}

// certificateLife is how long a certificate of our own is good; a fresh one is
// made a month before it ends. Browsers take no longer one than 398 days from
// an authority; one made on the spot is accepted by hand in any case.
const (
	certificateLife = 397 * 24 * time.Hour
	certificateRest = 30 * 24 * time.Hour
)

// certificate reads the certificate kept beside the database, or makes one for
// the given addresses and keeps it there. The key is readable by its owner only.
func certificate(file string, hosts []string, now time.Time) (tls.Certificate, string, error) {
	if data, err := os.ReadFile(file); err == nil {
		c, err := tls.X509KeyPair(data, data)
		if err == nil && covers(c.Leaf, hosts, now) {
			return c, fingerprint(c.Leaf), nil
		}
	}
	data, err := selfSigned(hosts, now)
	if err != nil {
		return tls.Certificate{}, "", err
	}
	if err := writePrivate(file, data); err != nil {
		return tls.Certificate{}, "", fmt.Errorf("the certificate cannot be kept beside the database: %w", err)
	}
	c, err := tls.X509KeyPair(data, data)
	if err != nil {
		return tls.Certificate{}, "", err
	}
	return c, fingerprint(c.Leaf), nil
}

// writePrivate writes a file that only its owner may read, whole or not at all.
func writePrivate(file string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(file), ".facings-*") // mode 0600
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Sync(), f.Close()); err == nil {
		err = os.Rename(f.Name(), file)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

func covers(leaf *x509.Certificate, hosts []string, now time.Time) bool {
	if leaf == nil || now.Before(leaf.NotBefore) || now.Add(certificateRest).After(leaf.NotAfter) {
		return false
	}
	for _, h := range hosts {
		if leaf.VerifyHostname(h) != nil {
			return false
		}
	}
	return true
}

func fingerprint(leaf *x509.Certificate) string {
	sum := sha256.Sum256(leaf.Raw)
	var parts []string
	for _, b := range sum {
		parts = append(parts, fmt.Sprintf("%02X", b))
	}
	return strings.Join(parts, ":")
}

// selfSigned makes key and certificate as PEM.
func selfSigned(hosts []string, now time.Time) ([]byte, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return nil, err
	}
	t := &x509.Certificate{SerialNumber: serial, Subject: pkix.Name{CommonName: "Facings on this network"},
		NotBefore: now.Add(-time.Hour), NotAfter: now.Add(certificateLife), KeyUsage: x509.KeyUsageDigitalSignature,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true}
	for _, h := range hosts {
		if ip := net.ParseIP(h); ip != nil {
			t.IPAddresses = append(t.IPAddresses, ip)
		} else {
			t.DNSNames = append(t.DNSNames, h)
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, t, t, &key.PublicKey, key)
	if err != nil {
		return nil, err
	}
	secret, err := x509.MarshalECPrivateKey(key)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := pem.Encode(&out, &pem.Block{Type: "CERTIFICATE", Bytes: der}); err != nil {
		return nil, err
	}
	err = pem.Encode(&out, &pem.Block{Type: "EC PRIVATE KEY", Bytes: secret})
	return out.Bytes(), err
}

// lanAddresses are this machine's addresses on the networks around it, private
// ones of version 4 first.
func lanAddresses() ([]string, error) {
	list, err := net.InterfaceAddrs()
	if err != nil {
		return nil, err
	}
	var out []string
	for _, a := range list {
		n, ok := a.(*net.IPNet)
		if !ok || n.IP.IsLoopback() || n.IP.IsLinkLocalUnicast() || !n.IP.IsPrivate() {
			continue
		}
		out = append(out, n.IP.String())
	}
	slices.SortStableFunc(out, func(a, b string) int { return strings.Count(a, ":") - strings.Count(b, ":") })
	return out, nil
}
