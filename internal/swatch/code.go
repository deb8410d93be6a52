package swatch

import "math/bits"

// A corner mark is a black border around 5 × 5 squares that hold a word of 25
// bits: 2 for the corner, 3 for the layout's version, 5 for the number of
// cells, and 15 check bits of the BCH code (31,16) shortened to (25,10), of
// which any two words differ in 7 bits or more. The word is turned over by a
// fixed pattern, found by trying 100 000, so that a mark of this version differs
// in 4 squares or more from any other one turned; hence one wrong square is put
// right, and no more.
//
// Ref: lincostello2004.
const (
	markBits    = 5
	generator   = 0x8FAF // x^15+x^11+x^10+x^9+x^8+x^7+x^5+x^3+x^2+x+1
	turnOver    = 0x053691D
	mendable    = 1 // wrong squares that are put right
	versionBits = 3
	cellBits    = 5
)

// codeWord returns the word of a corner, 0 to 3 clockwise from the top left.
func codeWord(corner, version, cells int) uint32 {
	data := uint32(corner)<<(versionBits+cellBits) | uint32(version)<<cellBits | uint32(cells-1)
	word := data << 15
	rest := word
	for bit := 24; bit >= 15; bit-- {
		if rest>>bit&1 == 1 {
			rest ^= generator << (bit - 15)
		}
	}
	return (word | rest) ^ turnOver
}

// squares spreads a word over rows and columns; true is black.
func squares(word uint32) (out [markBits][markBits]bool) {
	for i := range markBits * markBits {
		out[i/markBits][i%markBits] = word>>(24-i)&1 == 1
	}
	return out
}

// quarterTurned returns the word read after turning the mark a quarter
// clockwise.
func quarterTurned(word uint32) uint32 {
	sq := squares(word)
	var out uint32
	for y := range markBits {
		for x := range markBits {
			out <<= 1
			if sq[markBits-1-x][y] {
				out |= 1
			}
		}
	}
	return out
}

// mark is what a corner mark says.
type mark struct {
	corner, version, cells int
	turns                  int // quarter turns clockwise by which the mark was turned
	wrong                  int // squares put right
}

// codebook maps every word of every version to its mark, so that a card of
// another version is told from no card.
type codebook map[uint32]mark

func newCodebook() codebook {
	book := codebook{}
	for version := range 1 << versionBits {
		for cells := 1; cells <= MostCells; cells++ {
			for corner := range 4 {
				book[codeWord(corner, version, cells)] = mark{corner: corner, version: version, cells: cells}
			}
		}
	}
	return book
}

// decode reads a word, which may have been turned and, in a mark of this
// version, have a square wrong.
func (book codebook) decode(word uint32) (mark, bool) {
	var stranger mark
	var strange bool
	for turns := range 4 {
		for w, m := range book {
			m.turns, m.wrong = turns, bits.OnesCount32(word^w)
			switch {
			case m.version == Version && m.wrong <= mendable:
				return m, true
			case m.wrong == 0:
				stranger, strange = m, true
			}
		}
		// Undo one more quarter clockwise: three quarters on.
		word = quarterTurned(quarterTurned(quarterTurned(word)))
	}
	return stranger, strange
}
