package pdf

import (
	"bytes"
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
)

// Document is a file of pages, filled from first to last.
type Document struct {
	out   *fpdf.Fpdf
	dated bool
	pages int
}

// noDate stands where a file without a date has one for a moment.
var noDate = time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC)

// New begins a document. date is an ISO date, or empty for a file without one;
// anything else is a fault.
func New(title, subject, date string) *Document {
	out := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: 1, Ht: 1}}) // no page is as small, so each says its size
	d := &Document{out: out, dated: date != ""}
	day := noDate
	if d.dated {
		var err error
		if day, err = time.Parse(time.DateOnly, date); err != nil {
			out.SetError(fmt.Errorf("pdf: %w", err))
		}
	}
	out.SetCatalogSort(true)
	out.SetCreationDate(day)
	out.SetModificationDate(day)
	out.SetTitle(printable(title), true)
	out.SetSubject(printable(subject), true)
	out.SetProducer("panewright", false)
	out.SetMargins(0, 0, 0)
	out.SetAutoPageBreak(false, 0)
	// Copies: what is not used is cut out of the letters in their place.
	out.AddUTF8FontFromBytes("go", "", bytes.Clone(goregular.TTF))
	out.AddUTF8FontFromBytes("go", "B", bytes.Clone(gobold.TTF))
	out.AddUTF8FontFromBytes("gomono", "", bytes.Clone(gomono.TTF))
	return d
}

// Page begins a page on an upright sheet.
func (d *Document) Page(s Sheet) *Page {
	d.out.SetPage(d.pages) // the next one follows the last
	d.out.AddPageFormat("P", fpdf.SizeType{Wd: s.Width, Ht: s.Height})
	d.pages++
	p := &Page{doc: d, number: d.pages, Sheet: s}
	p.Area = &Area{page: p, view: View{Scale: one}, box: box(0, 0, s.Width, s.Height)}
	return p
}

// Pages is how many pages there are so far.
func (d *Document) Pages() int { return d.pages }

// Write writes the file. It fails with the first fault of all that was drawn,
// and for a document without a page.
func (d *Document) Write(w io.Writer) error {
	if d.pages == 0 {
		d.out.SetErrorf("pdf: there is no page")
	}
	d.out.SetPage(d.pages)
	var buf bytes.Buffer
	if err := d.out.Output(&buf); err != nil {
		return fmt.Errorf("pdf: %w", err)
	}
	data := buf.Bytes()
	if !d.dated {
		data = undated(data)
	}
	_, err := w.Write(data)
	return err
}

// undated blanks the two dates, which are always written, at the end of a file;
// its length stays, as its list of places needs.
func undated(data []byte) []byte {
	stamp := "(D:" + noDate.Format("20060102150405") + ")"
	for _, key := range []string{"/CreationDate ", "/ModDate "} {
		if i := bytes.LastIndex(data, []byte(key+stamp)); i >= 0 {
			copy(data[i:], bytes.Repeat([]byte{' '}, len(key+stamp)))
		}
	}
	return data
}
