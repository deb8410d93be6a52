package geom

import (
	"bytes"
	"cmp"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"math"
	"slices"
)

const (
	labelFileVersion = 1
	maxLabelFile     = 32 << 20
	labelSamples     = 20_000
	labelReachShare  = 0.02 // of the height: how far a sample may be from a face
)

// labelFile is the JSON kept beside a user's mesh. It names no face by number: a
// program that exports the mesh again may sort or cut the faces anew.
//
// If the geometry is the same, Runs gives the labels exactly, over the faces
// sorted by place. If not, Samples does: points of the surface with direction
// and label, in 1/1000 of the height and 1/100.
type labelFile struct {
	Version int        `json:"version"`
	Hash    string     `json:"geometry_hash"`
	Faces   int        `json:"faces"`
	BoxMin  [3]float64 `json:"box_min_mm"`
	BoxMax  [3]float64 `json:"box_max_mm"`
	Labels  []string   `json:"labels"`
	Runs    [][2]int   `json:"runs"`    // label, how many faces
	Samples [][7]int   `json:"samples"` // x y z, normal, label
}

// WriteLabels returns the labels of m as the JSON file to keep beside the mesh.
func WriteLabels(m *Mesh) ([]byte, error) {
	if m.Label == nil || len(m.F) == 0 {
		return nil, fmt.Errorf("the mesh has no labels to keep")
	}
	order, hash := placeOrder(m)
	b := m.Bounds()
	f := labelFile{Version: labelFileVersion, Hash: hash, Faces: len(m.F), Labels: m.Labels,
		BoxMin: [3]float64{b.Min.X, b.Min.Y, b.Min.Z}, BoxMax: [3]float64{b.Max.X, b.Max.Y, b.Max.Z}}
	for _, i := range order {
		l := int(m.Label[i])
		if n := len(f.Runs); n > 0 && f.Runs[n-1][0] == l {
			f.Runs[n-1][1]++
		} else {
			f.Runs = append(f.Runs, [2]int{l, 1})
		}
	}
	every := uint32(1 + len(order)/labelSamples)
	scale := sampleScale(b)
	for k := range order {
		// Every second one would be one half of a symmetrical figure: left and
		// right faces lie next to each other in this order. So scatter.
		if uint32(k)*2654435761>>16%every != 0 {
			continue
		}
		i := int(order[k])
		p, n := m.FaceCenter(i).Sub(b.Min).Mul(scale), m.FaceNormal(i).Mul(100)
		f.Samples = append(f.Samples, [7]int{round(p.X), round(p.Y), round(p.Z), round(n.X), round(n.Y), round(n.Z), int(m.Label[i])})
	}
	var out bytes.Buffer
	err := json.NewEncoder(&out).Encode(f)
	return out.Bytes(), err
}

func round(x float64) int { return int(math.Round(x)) }

// sampleScale counts thousandths of the largest extent per mm.
func sampleScale(b Box) float64 {
	s := b.Size()
	return 1000 / max(s.X, s.Y, s.Z, 1e-9)
}

// placeOrder sorts the faces by the place of their middle, to a millionth of the
// extent, and returns a hash of those places.
func placeOrder(m *Mesh) ([]int32, string) {
	b := m.Bounds()
	scale := sampleScale(b) * 1000
	key := make([][3]int64, len(m.F))
	order := make([]int32, len(m.F))
	for i := range m.F {
		p := m.FaceCenter(i).Sub(b.Min).Mul(scale)
		key[i] = [3]int64{int64(math.Round(p.X)), int64(math.Round(p.Y)), int64(math.Round(p.Z))}
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(x, y int32) int {
		a, c := key[x], key[y]
		return cmp.Or(cmp.Compare(a[2], c[2]), cmp.Compare(a[1], c[1]), cmp.Compare(a[0], c[0]), cmp.Compare(x, y))
	})
	h := fnv.New128a()
	for _, i := range order {
		fmt.Fprint(h, key[i])
	}
	return order, hex.EncodeToString(h.Sum(nil))
}

// LabelMatch tells how labels found their way back.
type LabelMatch struct {
	Exact  bool // the geometry is the one that was labelled
	Missed int  // faces too far from any sample; they stay unlabelled
}

// ReadLabels puts the labels of a label file onto m, which may be the same mesh,
// or the same figure exported anew in another order, cut, place or size.
func ReadLabels(m *Mesh, data []byte) (LabelMatch, error) {
	f, err := decodeLabels(data)
	if err != nil {
		return LabelMatch{}, err
	}
	if len(m.F) == 0 {
		return LabelMatch{}, fmt.Errorf("the mesh has no faces to label")
	}
	label := make([]uint16, len(m.F))
	order, hash := placeOrder(m)
	if hash == f.Hash && f.Faces == len(m.F) {
		k := 0
		for _, run := range f.Runs {
			for range run[1] {
				label[order[k]] = uint16(run[0])
				k++
			}
		}
		m.Label, m.Labels = label, f.Labels
		return LabelMatch{Exact: true}, nil
	}
	missed := f.nearest(m, label)
	m.Label, m.Labels = label, f.Labels
	return LabelMatch{Missed: missed}, nil
}

func decodeLabels(data []byte) (*labelFile, error) {
	if len(data) > maxLabelFile {
		return nil, fmt.Errorf("a label file of %d MB, at most %d are read", len(data)>>20, maxLabelFile>>20)
	}
	f := &labelFile{}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(f); err != nil {
		return nil, fmt.Errorf("the label file cannot be read: %w", err)
	}
	if f.Version != labelFileVersion {
		return nil, fmt.Errorf("label file version %d, this program reads %d", f.Version, labelFileVersion)
	}
	if len(f.Labels) == 0 || f.Labels[0] != "" || len(f.Labels) > maxFileLabels {
		return nil, fmt.Errorf("the label file's list of labels must begin with an empty name and hold at most %d", maxFileLabels)
	}
	sum := 0
	for _, run := range f.Runs {
		if run[0] < 0 || run[0] >= len(f.Labels) || run[1] < 1 || run[1] > MaxTriangles {
			return nil, fmt.Errorf("the label file has a run of %d faces with label %d", run[1], run[0])
		}
		if sum += run[1]; sum > f.Faces {
			break
		}
	}
	if sum != f.Faces {
		return nil, fmt.Errorf("the label file's runs do not add up to its %d faces", f.Faces)
	}
	for _, s := range f.Samples {
		if s[6] < 0 || s[6] >= len(f.Labels) {
			return nil, fmt.Errorf("the label file has a sample with label %d of %d", s[6], len(f.Labels))
		}
	}
	return f, nil
}

// nearest labels each face from the nearest sample that looks the same way. Both
// boxes are brought to the same place and size first.
func (f *labelFile) nearest(m *Mesh, label []uint16) (missed int) {
	old := Box{Vec3{f.BoxMin[0], f.BoxMin[1], f.BoxMin[2]}, Vec3{f.BoxMax[0], f.BoxMax[1], f.BoxMax[2]}}
	unit := sampleScale(old)
	points := &Mesh{} // a face without area at each sample, for the search
	var normals []Vec3
	for _, s := range f.Samples {
		k := int32(len(points.V))
		points.V = append(points.V, Vec3{float64(s[0]), float64(s[1]), float64(s[2])}.Mul(1/unit))
		points.F = append(points.F, [3]int32{k, k, k})
		normals = append(normals, Vec3{float64(s[3]), float64(s[4]), float64(s[5])}.Unit())
	}
	tree := NewBVH(points)
	now := m.Bounds()
	scale := old.Size().Z / max(now.Size().Z, 1e-9)
	reach := labelReachShare * old.Size().Len()
	forChunks(len(m.F), 0, func(from, to int) {
		for i := from; i < to; i++ {
			n := m.FaceNormal(i)
			p := m.FaceCenter(i).Sub(now.Min).Mul(scale)
			k, _, _ := tree.Nearest(p, reach, func(k int) bool { return normals[k].Dot(n) > 0.3 })
			if k >= 0 {
				label[i] = uint16(f.Samples[k][6])
			} else {
				label[i] = MaxLabels - 1
			}
		}
	})
	for i, l := range label {
		if l == MaxLabels-1 {
			label[i] = 0
			missed++
		}
	}
	return missed
}
