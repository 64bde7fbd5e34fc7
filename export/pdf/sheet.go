package pdf

import "strings"

// Sheet is a size of paper, upright, in mm.
type Sheet struct {
	Name          string
	Width, Height float64
}

// The sheets: ISO 216, and ANSI/ASME Y14.1 A and B.
var (
	A4      = Sheet{"A4", 210, 297}
	A3      = Sheet{"A3", 297, 420}
	Letter  = Sheet{"Letter", 215.9, 279.4}
	Tabloid = Sheet{"Tabloid", 279.4, 431.8}
)

// Sheets are all sizes, the small ones first.
func Sheets() []Sheet { return []Sheet{A4, Letter, A3, Tabloid} }

// SheetNamed is the sheet of a name, in capitals or not.
func SheetNamed(name string) (Sheet, bool) {
	for _, s := range Sheets() {
		if strings.EqualFold(s.Name, name) {
			return s, true
		}
	}
	return Sheet{}, false
}
