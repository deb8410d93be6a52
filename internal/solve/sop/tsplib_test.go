package sop

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const tiny = `NAME: tiny
TYPE: SOP
COMMENT: three nodes
DIMENSION: 3
EDGE_WEIGHT_TYPE: EXPLICIT
EDGE_WEIGHT_FORMAT: FULL_MATRIX
EDGE_WEIGHT_SECTION
3
 0 4 1000000
-1 0 5
-1 -1 0
EOF
`

func TestReadTSPLIB(t *testing.T) {
	in, err := ReadTSPLIB(strings.NewReader(tiny), "tiny.sop")
	if err != nil {
		t.Fatal(err)
	}
	want := "{tiny {3 [[0 4 1000000] [-1 0 5] [-1 -1 0]] [[0 1] [0 2] [1 2]]}}"
	if got := fmt.Sprint(in); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestReadTSPLIBNamesThePlaceOfAFault(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"TYPE: SOP", "TYPE: ATSP", "f:2: TYPE"},
		{"DIMENSION: 3", "DIMENSION: 999999", "f:4: DIMENSION"},
		{"DIMENSION: 3", "SIZE: 3", "f:4: unknown keyword"},
		{"COMMENT: three nodes", "TYPE: SOP", "f:3: TYPE is given twice"},
		{"EXPLICIT", "EUC_2D", "f:5: EDGE_WEIGHT_TYPE"},
		{"FULL_MATRIX", "UPPER_ROW", "f:6: EDGE_WEIGHT_FORMAT"},
		{"DIMENSION: 3\n", "", "f:6: EDGE_WEIGHT_SECTION comes before"},
		{"SECTION\n3", "SECTION\n4", "f:8: the matrix is led by 4"},
		{"-1 0 5", "-1 0 five", "f:10: the cost from node 2 to node 3"},
		{"-1 0 5", "-1 0 -5", "f:10: the cost from node 2 to node 3 is -5"},
		{"-1 0 5", "-1 -1 5", "f:10: node 2 would have to come before itself"},
		{"-1 -1 0\nEOF\n", "-1 -1", "f:11: the file ends before the cost from node 3 to node 3"},
		{"EOF", "7", "f:12: \"7\" after the matrix"},
		{"EDGE_WEIGHT_SECTION", "COMMENT", "f:8: unknown keyword \"3\""},
	} {
		_, err := ReadTSPLIB(strings.NewReader(strings.Replace(tiny, c.old, c.new, 1)), "f")
		if err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%q for %q: got error %v, want %s", c.new, c.old, err, c.want)
		}
	}
}

// Whatever the bytes, the reader returns an error or a well-formed problem.
func FuzzReadTSPLIB(f *testing.F) {
	f.Add([]byte(tiny))
	files, err := filepath.Glob("testdata/ESC*.sop")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		in, err := ReadTSPLIB(strings.NewReader(string(data)), "f")
		if err != nil {
			if !strings.HasPrefix(err.Error(), "f:") {
				t.Errorf("error without a place: %v", err)
			}
			return
		}
		if err := in.Validate(); err != nil {
			t.Error(err)
		}
	})
}
