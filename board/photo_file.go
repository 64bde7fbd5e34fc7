package board

// filePhoto is Photo in the file.
type filePhoto struct {
	Path   string           `json:"path"`
	Size   [2]int           `json:"size"`
	Points []filePhotoPoint `json:"points"`
}

type filePhotoPoint struct {
	At     [2]float64 `json:"at"`
	Across int        `json:"line_across"`
	Row    int        `json:"lettered_line"` // 0 is A
}

func photoToFile(p *Photo) *filePhoto {
	if *p == (Photo{}) {
		return nil
	}
	f := &filePhoto{Path: p.Path, Size: p.Size}
	for _, c := range p.Points {
		f.Points = append(f.Points, filePhotoPoint(c))
	}
	return f
}

// photo is the photo of a file; points that are missing stand at the corner.
func (f *filePhoto) photo() (p Photo) {
	if f == nil {
		return p
	}
	p.Path, p.Size = f.Path, f.Size
	for i := range min(len(f.Points), len(p.Points)) {
		p.Points[i] = PhotoPoint(f.Points[i])
	}
	return p
}
