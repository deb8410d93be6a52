package swatch

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"

	"github.com/kovidgoyal/imaging"
	"golang.org/x/image/webp"

	"facings"
	"facings/internal/colour"
)

// Limits of a photograph.
const (
	MostBytes   = 64 << 20
	MostPixels  = 64_000_000
	leastSide   = 480
	mostProfile = 256 << 10 // bytes of a packed colour profile in a PNG
	workSide    = 2600      // photographs are reduced to at most this
)

// Photo is a photograph in linear light, turned upright as its file says and
// reduced by a whole factor.
type Photo struct {
	W, H         int // reduced
	FullW, FullH int
	Factor       int
	lin          []float32 // red, green, blue of each pixel, 0..1
	full         []bool    // a channel of it, or of a pixel in it, is full
}

// fullLevel is the value of a channel that is taken as full: JPEG blurs a cut
// off 255 by a step or two.
const fullLevel = 253

func fault(id, message, hint string) error {
	return facings.Diagnostics{{ID: id, Severity: facings.Fault, Message: message, Hint: hint}}
}

// LoadPhoto reads a JPEG, PNG or WebP file. Its sizes are bounded before
// anything is decoded.
func LoadPhoto(data []byte) (*Photo, error) {
	img, err := decodeImage(data)
	if err != nil {
		return nil, err
	}
	return newPhoto(img), nil
}

func decodeImage(data []byte) (img *image.NRGBA, err error) {
	if len(data) > MostBytes {
		return nil, fault("photo-size", fmt.Sprintf("the file has %d MB", len(data)>>20), fmt.Sprintf("give a photograph of at most %d MB", MostBytes>>20))
	}
	config, err := readConfig(data)
	if err != nil {
		return nil, err
	}
	if config.Width > MostPixels/max(1, config.Height) {
		return nil, fault("photo-size", fmt.Sprintf("the photograph has %d × %d pixels", config.Width, config.Height), fmt.Sprintf("reduce it to at most %d million pixels", MostPixels/1_000_000))
	}
	if min(config.Width, config.Height) < leastSide {
		return nil, fault("photo-small", fmt.Sprintf("the photograph has only %d × %d pixels", config.Width, config.Height), fmt.Sprintf("each side needs %d or more", leastSide))
	}
	// The decoders of broken files are not ours; one that gives up must not
	// take the program with it.
	defer func() {
		if recover() != nil {
			img, err = nil, broken(nil)
		}
	}()
	decoded, err := imaging.Decode(bytes.NewReader(data), imaging.Backends(imaging.GO_IMAGE))
	if err != nil {
		return nil, broken(err)
	}
	if b := decoded.Bounds(); b.Dx() < leastSide || b.Dy() < leastSide || b.Dx() > MostPixels/b.Dy() {
		return nil, broken(nil)
	}
	return imaging.Clone(decoded), nil
}

func broken(err error) error {
	message := "the photograph cannot be decoded"
	if err != nil {
		message += ": " + err.Error()
	}
	return fault("photo-broken", message, "the file may be cut short; copy it again")
}

// readConfig tells the format from the first bytes and reads the size.
func readConfig(data []byte) (c image.Config, err error) {
	defer func() {
		if recover() != nil {
			err = broken(nil)
		}
	}()
	at := func(i int, s string) bool { return len(data) >= i+len(s) && string(data[i:i+len(s)]) == s }
	switch {
	case at(0, "\xff\xd8\xff"):
		c, err = jpeg.DecodeConfig(bytes.NewReader(data))
	case at(0, "\x89PNG\r\n\x1a\n"):
		if err := checkPNG(data); err != nil {
			return c, err
		}
		c, err = png.DecodeConfig(bytes.NewReader(data))
	case at(0, "RIFF") && at(8, "WEBP"):
		if at(12, "VP8X") && len(data) > 20 && data[20]&2 != 0 {
			return c, animated()
		}
		c, err = webp.DecodeConfig(bytes.NewReader(data))
	case at(4, "ftyp"):
		return c, fault("photo-format", "this is a HEIC or other film-like file", "save or export the photograph as JPEG")
	default:
		return c, fault("photo-format", "this is not a photograph in a format that can be read", "give a JPEG, PNG or WebP file")
	}
	if err != nil {
		return c, broken(err)
	}
	if c.Width <= 0 || c.Height <= 0 {
		return c, broken(nil)
	}
	return c, nil
}

func animated() error {
	return fault("photo-format", "the file holds a moving picture", "give a single photograph")
}

// checkPNG refuses moving pictures and packed profiles that could unpack to
// anything, before they are.
func checkPNG(data []byte) error {
	for at := 8; at+8 <= len(data); {
		size := int64(binary.BigEndian.Uint32(data[at:]))
		switch name := string(data[at+4 : at+8]); {
		case name == "acTL":
			return animated()
		case name == "iCCP" && size > mostProfile:
			return fault("photo-size", "the photograph's colour profile is too large", "save it as sRGB")
		}
		if size > int64(len(data)) {
			return nil // cut short; the decoder will say so
		}
		at += int(size) + 12
	}
	return nil
}

func newPhoto(img *image.NRGBA) *Photo {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	f := (max(w, h) + workSide - 1) / workSide
	p := &Photo{W: w / f, H: h / f, FullW: w, FullH: h, Factor: f}
	p.lin = make([]float32, 3*p.W*p.H)
	p.full = make([]bool, p.W*p.H)
	var linear [256]float32
	for i := range linear {
		linear[i] = float32(colour.RGB8{R: uint8(i)}.SRGB().Decode().R)
	}
	scale := 1 / float32(f*f)
	for y := range p.H {
		for x := range p.W {
			var sum [3]float32
			var full bool
			for v := range f {
				row := img.Pix[(y*f+v)*img.Stride+4*x*f:]
				for u := range f {
					px := row[4*u : 4*u+3]
					for c := range sum {
						sum[c] += linear[px[c]]
						full = full || px[c] >= fullLevel
					}
				}
			}
			i := y*p.W + x
			p.full[i] = full
			for c := range sum {
				p.lin[3*i+c] = sum[c] * scale
			}
		}
	}
	return p
}

// rgb is linear light in three channels.
type rgb [3]float64

// luminance weighs the channels as the eye does.
//
// Ref: iec61966-2-1.
func (c rgb) luminance() float64 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }

// at returns the light at a place, between pixels in proportion; false outside.
func (p *Photo) at(q Point) (rgb, bool) {
	x, y := q.X-0.5, q.Y-0.5
	if !(x >= 0 && y >= 0 && x < float64(p.W-1) && y < float64(p.H-1)) {
		return rgb{}, false
	}
	i, j := int(x), int(y)
	u, v := x-float64(i), y-float64(j)
	k := 3 * (j*p.W + i)
	l := k + 3*p.W
	var out rgb
	for c := range out {
		top := float64(p.lin[k+c])*(1-u) + float64(p.lin[k+3+c])*u
		low := float64(p.lin[l+c])*(1-u) + float64(p.lin[l+3+c])*u
		out[c] = top*(1-v) + low*v
	}
	return out, true
}

// fullAt reports whether a pixel has a full channel.
func (p *Photo) fullAt(q Point) bool {
	x, y := int(q.X), int(q.Y)
	return x >= 0 && y >= 0 && x < p.W && y < p.H && p.full[y*p.W+x]
}
