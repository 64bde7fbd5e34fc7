module panewright

go 1.26

require (
	fyne.io/fyne/v2 v2.8.1 // indirect
	github.com/go-gl/mathgl v1.2.0 // indirect
	github.com/stretchr/testify v1.12.1 // indirect
	gonum.org/v1/gonum v0.17.0 // indirect
)
