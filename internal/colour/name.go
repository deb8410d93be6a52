package colour

import "strings"

// Name describes a colour seen under D65 in plain English, so that nobody has
// to see hue to follow a guide: "dark yellowish green", "pale greyish blue".
// It is [lightness] [greyish or bright] [leaning] hue, by the boundaries below,
// which are our own, set by ear against the colours of common pigments
// (name_test.go). Lightness is CIELAB's L; chroma and hue are OKLCh's.
//
//	lightness  very dark < 18 ≤ dark < 38 ≤ (none) < 62 ≤ light < 82 ≤ pale
//	chroma     grey < 0.012 ≤ …ish grey < 0.028 ≤ greyish < 0.055 ≤ (none) < 0.155 ≤ bright
//	hue        red 26°, orange 58°, yellow 98°, green 147°, turquoise 195°,
//	           blue 252°, purple 330°; between two of them quarters: red,
//	           orange red, reddish orange, orange
//
// Dark colours look fuller, so below L 60 the chroma limits shrink with OKLab
// lightness, to half at most. Dark orange is brown, dark yellow olive, light
// red pink, dark and bright deep, as everybody calls them. Greys run from
// black below L 20 to white above 92; below L 5 everything is black.
func Name(c Lab) string {
	white := ViewD65().White()
	ok := c.XYZ(white).OKLab().LCh()
	p := place{l: c.L, c: ok.C / chromaScale(ok.L), h: ok.H}
	switch {
	case p.c < 0.012, p.c < 0.02 && p.l < 14, p.l < 5:
		return neutral(p.l)
	case p.c < 0.028:
		return tinted(p)
	}
	return chromatic(p)
}

// place is a colour as the words see it: L of CIELAB, scaled chroma, hue.
type place struct{ l, c, h float64 }

func chromaScale(okL float64) float64 { return min(1, max(0.5, okL/0.6)) }

func neutral(l float64) string {
	switch {
	case l < 20:
		return "black"
	case l < 38:
		return "dark grey"
	case l < 62:
		return "grey"
	case l < 82:
		return "light grey"
	case l < 92:
		return "pale grey"
	}
	return "white"
}

// tinted names a grey that leans towards a hue: "bluish grey", "dark brownish
// grey", "yellowish white".
func tinted(p place) string {
	lean := leaning(p)
	words := strings.Split(neutral(p.l), " ")
	words[len(words)-1] = lean + " " + words[len(words)-1]
	return strings.Join(words, " ")
}

func leaning(p place) string {
	switch h := p.h; {
	case h >= 40 && h < 95 && p.l < 70:
		return "brownish"
	case h < 12 || h >= 335:
		return "pinkish"
	case h < 45:
		return "reddish"
	case h < 118:
		return "yellowish"
	case h < 180:
		return "greenish"
	case h < 275:
		return "bluish"
	}
	return "purplish"
}

func chromatic(p place) string {
	lean, noun := hueWords(p)
	light := lightness(p.l, noun)
	strength := ""
	switch {
	case p.c < 0.055 && p.l >= 84:
		light = "pale" // nobody hears grey in a cream
	case lean == "brownish": // says dull enough
	case p.c < 0.055 && !(noun == "pink" && p.c >= 0.04):
		strength = "greyish"
	case p.c >= 0.155 && noun != "brown" && noun != "pink":
		light, strength = bright(light)
	}
	var words []string
	for _, w := range []string{light, strength, lean, noun} {
		if w != "" {
			words = append(words, w)
		}
	}
	return strings.Join(words, " ")
}

// bright fits the lightness of a strong colour: a dark one is deep, and a light
// one is just bright.
func bright(light string) (string, string) {
	switch light {
	case "very dark", "dark":
		return "", "deep"
	}
	return "", "bright"
}

// lightness leaves out what the noun already says: olive and brown are dark
// orange and yellow, pink is light red, and yellow is light by nature.
func lightness(l float64, noun string) string {
	switch noun {
	case "pink":
		l -= 20
	case "yellow":
		l -= 14
	case "brown", "olive":
		l += 5
	}
	switch {
	case l < 18:
		return "very dark"
	case l < 38:
		return "dark"
	case l < 62:
		return ""
	case l < 82:
		return "light"
	}
	return "pale"
}

// hues are the plain words with their centres in degrees of OKLCh.
var hues = [...]struct {
	noun, lean string
	centre     float64
}{
	{"red", "reddish", 26},
	{"orange", "orange", 58},
	{"yellow", "yellowish", 98},
	{"green", "greenish", 147},
	{"turquoise", "greenish", 195},
	{"blue", "bluish", 252},
	{"purple", "purplish", 330},
	{"red", "reddish", 386},
}

// hueWords returns the noun and the hue it leans to, if any.
func hueWords(p place) (lean, noun string) {
	h := p.h
	switch {
	case (h < 62 || h >= 340) && isPink(p):
		return pinkLean(h), "pink"
	case h >= 33 && h < 92 && isBrown(p):
		return brownLean(h), "brown"
	case h >= 28 && h < 48 && p.l < 50 && p.c < 0.175:
		return "brownish", "red"
	case h >= 66 && h < 95 && p.l >= 50 && p.l < 72 && p.c < 0.14:
		return "brownish", "yellow"
	case h >= 86 && h < 122 && p.l < 60 && p.c < 0.15:
		if h >= 112 {
			return "greenish", "olive"
		}
		return "", "olive"
	}
	if h < hues[0].centre {
		h += 360
	}
	i := 0
	for i < len(hues)-2 && h >= hues[i+1].centre {
		i++
	}
	a, b := hues[i], hues[i+1]
	switch t := (h - a.centre) / (b.centre - a.centre); {
	case t < 0.25:
		return "", a.noun
	case t < 0.5:
		if a.noun == "green" {
			return "bluish", "green" // not turquoiseish
		}
		return b.lean, a.noun
	case t < 0.75:
		return a.lean, b.noun
	}
	return "", b.noun
}

// isPink: a light red that is not strong. Towards orange it must be lighter
// and duller, or it is an orange or a light brown.
func isPink(p place) bool {
	if p.h >= 45 && p.h < 62 {
		return p.l >= 70 && p.c < 0.10
	}
	if p.h < 16 || p.h >= 345 {
		return p.l >= 56 && p.c < 0.17
	}
	return p.l >= 62 && p.c < 0.17
}

func pinkLean(h float64) string {
	switch {
	case h >= 340 && h < 352:
		return "purplish"
	case h >= 38 && h < 62:
		return "orange"
	}
	return ""
}

// isBrown: a dark or dull orange. Reds turn brown only when dull, yellows only
// when dull or fairly dark.
func isBrown(p place) bool {
	switch {
	case p.h < 42:
		return p.l < 50 && p.c < 0.13 || p.h >= 37 && p.l < 50 && p.c < 0.145
	case p.h < 62:
		return p.l < 56 && p.c < 0.145 || p.l < 70 && p.c < 0.09
	case p.h < 75:
		return p.l < 60 && p.c < 0.17 || p.l < 80 && p.c < 0.10
	}
	if p.h < 88 {
		return p.l < 58 && p.c < 0.13 || p.l < 80 && p.c < 0.085
	}
	return p.l < 58 && p.c < 0.075
}

func brownLean(h float64) string {
	switch {
	case h < 50:
		return "reddish"
	case h >= 68:
		return "yellowish"
	}
	return ""
}
