package sop

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"strconv"
)

// maxFile bounds a file's size in bytes, maxRead the dimension it may have.
const (
	maxFile = 64 << 20
	maxRead = 2000
)

// Instance is a problem read from a file.
type Instance struct {
	Name string
	Problem
}

// ReadTSPLIB reads an instance of TSPLIB's type SOP with an explicit full
// matrix. There C[i][j] = -1 means that j must come before i, and the matrix is
// led by the dimension once more. Numbers of nodes start at 0 in the result.
// file names the source in errors, which have the form file:line: message.
//
// Ref: reinelt1991
func ReadTSPLIB(r io.Reader, file string) (Instance, error) {
	rd := &reader{file: file}
	data, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	switch {
	case err != nil:
		return Instance{}, fmt.Errorf("%s: %w", file, err)
	case len(data) > maxFile:
		return Instance{}, fmt.Errorf("%s: longer than %d bytes", file, maxFile)
	}
	rd.sc = bufio.NewScanner(bytes.NewReader(data))
	rd.sc.Buffer(make([]byte, 1<<16), maxFile+1)
	in, err := rd.header()
	if err != nil {
		return Instance{}, err
	}
	return in, rd.matrix(&in.Problem)
}

type reader struct {
	file string
	line int
	sc   *bufio.Scanner
	rest []byte // what is left of the line being read
}

func (rd *reader) errorf(format string, args ...any) error {
	return fmt.Errorf("%s:%d: %s", rd.file, max(rd.line, 1), fmt.Sprintf(format, args...))
}

// header reads up to and with EDGE_WEIGHT_SECTION.
func (rd *reader) header() (Instance, error) {
	var in Instance
	seen := map[string]bool{}
	for rd.sc.Scan() {
		rd.line++
		key, value, _ := bytes.Cut(bytes.TrimSpace(rd.sc.Bytes()), []byte(":"))
		k, v := string(bytes.TrimSpace(key)), string(bytes.TrimSpace(value))
		if k == "" {
			continue
		}
		if seen[k] && k != "COMMENT" {
			return in, rd.errorf("%s is given twice", k)
		}
		seen[k] = true
		switch k {
		case "NAME":
			in.Name = v
		case "COMMENT":
		case "TYPE":
			if v != "SOP" {
				return in, rd.errorf("TYPE is %q, want SOP", v)
			}
		case "DIMENSION":
			n, err := strconv.Atoi(v)
			if err != nil || n < 1 || n > maxRead {
				return in, rd.errorf("DIMENSION is %q, want a number from 1 to %d", v, maxRead)
			}
			in.N = n
		case "EDGE_WEIGHT_TYPE":
			if v != "EXPLICIT" {
				return in, rd.errorf("EDGE_WEIGHT_TYPE is %q, want EXPLICIT", v)
			}
		case "EDGE_WEIGHT_FORMAT":
			if v != "FULL_MATRIX" {
				return in, rd.errorf("EDGE_WEIGHT_FORMAT is %q, want FULL_MATRIX", v)
			}
		case "EDGE_WEIGHT_SECTION":
			if in.N == 0 {
				return in, rd.errorf("EDGE_WEIGHT_SECTION comes before DIMENSION")
			}
			return in, nil
		default:
			return in, rd.errorf("unknown keyword %q", k)
		}
	}
	if err := rd.sc.Err(); err != nil {
		return in, rd.errorf("%v", err)
	}
	return in, rd.errorf("no EDGE_WEIGHT_SECTION")
}

// word returns the next word of the matrix, nil at the end of the file.
func (rd *reader) word() []byte {
	for {
		rd.rest = bytes.TrimLeft(rd.rest, " \t\r")
		if len(rd.rest) > 0 {
			end := bytes.IndexAny(rd.rest, " \t\r")
			if end < 0 {
				end = len(rd.rest)
			}
			w := rd.rest[:end]
			rd.rest = rd.rest[end:]
			return w
		}
		if !rd.sc.Scan() {
			return nil
		}
		rd.line++
		rd.rest = rd.sc.Bytes()
	}
}

// number reads the next number; what says which one it is.
func (rd *reader) number(what string) (int, error) {
	w := rd.word()
	if w == nil {
		return 0, rd.errorf("the file ends before %s", what)
	}
	n, err := strconv.Atoi(string(w))
	if err != nil {
		return 0, rd.errorf("%s is %q, want a whole number", what, clip(w))
	}
	return n, nil
}

// clip shortens a word for a message.
func clip(w []byte) []byte { return w[:min(len(w), 40)] }

// matrix reads the dimension and the costs.
func (rd *reader) matrix(p *Problem) error {
	n, err := rd.number("the dimension that leads the matrix")
	if err != nil {
		return err
	}
	if n != p.N {
		return rd.errorf("the matrix is led by %d, but DIMENSION is %d", n, p.N)
	}
	for i := range p.N {
		row := make([]int, p.N)
		for j := range row {
			c, err := rd.number(fmt.Sprintf("the cost from node %d to node %d", i+1, j+1))
			switch {
			case err != nil:
				return err
			case c == -1 && i == j:
				return rd.errorf("node %d would have to come before itself", i+1)
			case c == -1:
				p.Before = append(p.Before, [2]int{j, i})
			case c < 0 || c > MaxCost:
				return rd.errorf("the cost from node %d to node %d is %d, want 0 to %d, or -1", i+1, j+1, c, MaxCost)
			}
			row[j] = c
		}
		p.Cost = append(p.Cost, row)
	}
	if w := rd.word(); w != nil && string(w) != "EOF" {
		return rd.errorf("%q after the matrix, want EOF", clip(w))
	}
	return nil
}
