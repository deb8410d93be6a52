// Command release builds the program for every system it is meant for, packs
// each with its licence, README, man pages and shell completions, and writes the
// checksums. It needs Go alone. Built twice from the same commit, the same bytes
// come out.
//
//	go run ./tools/release -version 1.0.0 -out dist
//	go run ./tools/release -check [-long]    # builds, runs and compares, packs nothing
//
// With -check, every build that can run here (this machine's own, and others
// through qemu-user where it is installed) is asked the same, orders of two small
// armies among it, and what they print is compared byte by byte. -long adds the
// order of the demo's 24 mounted figures, which takes long under emulation.
package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"facings"
	"facings/internal/demo"
	"facings/internal/projectfile"
)

// system is what one build is for.
type system struct{ os, arch string }

var systems = []system{
	{"linux", "amd64"}, {"linux", "arm64"},
	{"darwin", "amd64"}, {"darwin", "arm64"},
	{"windows", "amd64"}, {"windows", "arm64"},
}

func (s system) String() string { return s.os + "-" + s.arch }

func (s system) program() string {
	if s.os == "windows" {
		return "facings.exe"
	}
	return "facings"
}

func main() {
	version := flag.String("version", "dev", "the version the program tells")
	out := flag.String("out", "dist", "the folder for the archives; must not be there yet")
	check := flag.Bool("check", false, "build, run what can run here, and compare; pack nothing")
	long := flag.Bool("long", false, "with -check, compare the order of the mounted demo too")
	flag.Parse()
	if flag.NArg() > 0 || *long && !*check {
		flag.Usage()
		os.Exit(2)
	}
	if err := run(*version, *out, *check, *long); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

func run(version, out string, check, long bool) error {
	work, err := os.MkdirTemp("", "release")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	built := map[system]string{}
	for _, s := range systems {
		if _, ok := runs(s); check && !ok {
			fmt.Println(s, "does not run here")
			continue
		}
		built[s] = filepath.Join(work, s.String(), s.program())
		fmt.Fprintln(os.Stderr, "building for", s)
		if err := build(s, version, built[s]); err != nil {
			return fmt.Errorf("%v: %w", s, err)
		}
	}
	if check {
		return compare(work, built, long)
	}
	if err := os.Mkdir(out, 0o777); err != nil {
		return err
	}
	papers, err := papers(work)
	if err != nil {
		return err
	}
	var sums strings.Builder
	for _, s := range systems {
		program, err := os.ReadFile(built[s])
		if err != nil {
			return err
		}
		files := append([]file{{s.program(), program, 0o755}}, papers...)
		folder := fmt.Sprintf("facings-%s-%s", version, s)
		name, pack := folder+".tar.gz", packTar
		if s.os == "windows" {
			name, pack = folder+".zip", packZip
		}
		var b bytes.Buffer
		if err := pack(&b, folder, files); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(out, name), b.Bytes(), 0o666); err != nil {
			return err
		}
		fmt.Fprintf(&sums, "%x  %s\n", sha256.Sum256(b.Bytes()), name)
	}
	if err := os.WriteFile(filepath.Join(out, "SHA256SUMS"), []byte(sums.String()), 0o666); err != nil {
		return err
	}
	fmt.Print(sums.String())
	return nil
}

func build(s system, version, to string) error {
	c := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-ldflags", "-s -w -buildid= -X main.version="+version, "-o", to, "./cmd/facings")
	c.Env = append(os.Environ(), "GOOS="+s.os, "GOARCH="+s.arch, "CGO_ENABLED=0")
	c.Stderr = os.Stderr
	return c.Run()
}

// file is one file of an archive.
type file struct {
	name string
	data []byte
	mode os.FileMode
}

// papers are what goes with the program everywhere.
func papers(work string) ([]file, error) {
	var out []file
	for _, name := range []string{"LICENSE", "README.md"} {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		out = append(out, file{name, data, 0o644})
	}
	man := filepath.Join(work, "man")
	if b, err := exec.Command("go", "run", "./tools/man", man).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("man pages: %w\n%s", err, b)
	}
	pages, err := filepath.Glob(filepath.Join(man, "*.1"))
	if err != nil {
		return nil, err
	}
	slices.Sort(pages)
	for _, p := range pages {
		data, err := os.ReadFile(p)
		if err != nil {
			return nil, err
		}
		out = append(out, file{path.Join("man", filepath.Base(p)), data, 0o644})
	}
	for _, shell := range []string{"bash", "zsh", "fish", "powershell"} {
		data, err := exec.Command("go", "run", "./cmd/facings", "completion", shell).Output()
		if err != nil {
			return nil, fmt.Errorf("completion for %s: %w", shell, err)
		}
		out = append(out, file{"completion/facings." + shell, data, 0o644})
	}
	return out, nil
}

// stamp is the time of every file in an archive, so that the bytes do not
// depend on the day.
var stamp = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)

func packTar(w io.Writer, folder string, files []file) error {
	z, err := gzip.NewWriterLevel(w, gzip.BestCompression)
	if err != nil {
		return err
	}
	t := tar.NewWriter(z)
	for _, f := range files {
		h := &tar.Header{Name: path.Join(folder, f.name), Mode: int64(f.mode), Size: int64(len(f.data)), ModTime: stamp, Format: tar.FormatUSTAR}
		if err := t.WriteHeader(h); err != nil {
			return err
		}
		if _, err := t.Write(f.data); err != nil {
			return err
		}
	}
	if err := t.Close(); err != nil {
		return err
	}
	return z.Close()
}

func packZip(w io.Writer, folder string, files []file) error {
	z := zip.NewWriter(w)
	for _, f := range files {
		h := &zip.FileHeader{Name: path.Join(folder, f.name), Method: zip.Deflate, Modified: stamp}
		h.SetMode(f.mode)
		to, err := z.CreateHeader(h)
		if err != nil {
			return err
		}
		if _, err := to.Write(f.data); err != nil {
			return err
		}
	}
	return z.Close()
}

// questions are asked of every build that runs; the answers must not differ.
// The clock enters the order, so projects with a start date are asked about.
var questions = [][]string{
	{"mix", "--json", "--target", "#3a8f9b"},
	{"mix", "--json", "--target", "#7a1f2b", "--over", "black"},
	{"ranks", "--json", "demo/demo.yaml"},
	{"shop", "--json", "demo/demo.yaml"},
	{"sheet", "flags", "demo/demo.yaml", "--out", "flags.pdf"},
	{"order", "--json", "army2.yaml"},
	{"order", "--json", "army4.yaml"},
}

// longQuestion takes a minute on a machine of its own kind.
func longQuestion() []string { return []string{"order", "--json", "demo/mounted24.yaml"} }

// projects puts what is asked about into a folder.
func projects(folder string) error {
	if _, err := demo.Unpack(filepath.Join(folder, "demo")); err != nil {
		return err
	}
	for name, army := range map[string]*facings.Project{"army2.yaml": demo.Army(5, 2), "army4.yaml": demo.Army(8, 4)} {
		text, err := projectfile.Marshal(army)
		if err == nil {
			err = os.WriteFile(filepath.Join(folder, name), text, 0o666)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// compare asks the same of all builds that run here.
func compare(work string, built map[system]string, long bool) error {
	asked := questions
	if long {
		asked = append(slices.Clone(questions), longQuestion())
	}
	ran := 0
	var first [][]byte
	var named system
	for _, s := range systems {
		runner, ok := runs(s)
		if !ok {
			continue
		}
		folder := filepath.Join(work, "run-"+s.String())
		if err := os.Mkdir(folder, 0o777); err != nil {
			return err
		}
		if err := projects(folder); err != nil {
			return err
		}
		begun := time.Now()
		ask := func(args ...string) ([]byte, error) {
			line := append(slices.Clone(runner), built[s])
			line = append(line, args...)
			c := exec.Command(line[0], line[1:]...)
			c.Dir = folder
			var errs bytes.Buffer
			c.Stderr = &errs
			out, err := c.Output()
			if err != nil {
				return nil, fmt.Errorf("%v: %s: %w\n%s", s, strings.Join(args, " "), err, errs.Bytes())
			}
			return out, nil
		}
		var answers [][]byte
		for _, q := range asked {
			a, err := ask(q...)
			if err != nil {
				return err
			}
			if i := slices.Index(q, "--out"); i >= 0 {
				if a, err = os.ReadFile(filepath.Join(folder, q[i+1])); err != nil {
					return err
				}
			}
			answers = append(answers, a)
		}
		ran++
		fmt.Printf("%v: %d answers in %v\n", s, len(answers), time.Since(begun).Round(time.Second))
		if first == nil {
			first, named = answers, s
			continue
		}
		for i, a := range answers {
			if !bytes.Equal(a, first[i]) {
				return fmt.Errorf("%v and %v answer differently to: %s", named, s, strings.Join(asked[i], " "))
			}
		}
		fmt.Printf("%v answers as %v does, byte by byte\n", s, named)
	}
	if ran < 2 {
		return fmt.Errorf("only %d build ran here: install qemu-user to compare with another", ran)
	}
	return nil
}

// runs tells how a build can be run here, if it can.
func runs(s system) ([]string, bool) {
	switch {
	case s.os != runtime.GOOS:
		return nil, false
	case s.arch == runtime.GOARCH:
		return nil, true
	}
	name := map[string]string{"arm64": "aarch64", "amd64": "x86_64"}[s.arch]
	for _, emulator := range []string{"qemu-" + name + "-static", "qemu-" + name} {
		if found, err := exec.LookPath(emulator); err == nil {
			return []string{found}, true
		}
	}
	return nil, false
}
