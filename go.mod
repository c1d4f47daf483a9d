module counterproof

go 1.26.0

require (
	filippo.io/age v1.3.2
	github.com/alecthomas/kong v1.17.0
	github.com/beevik/etree v1.8.1
	github.com/clipperhouse/displaywidth v0.11.0
	github.com/clipperhouse/uax29/v2 v2.7.0
	github.com/dustin/go-humanize v1.1.0
	github.com/go-json-experiment/json v1.27.2
	github.com/google/go-cmp v0.7.0
	github.com/stretchr/testify v1.12.1
	go.mau.fi/util v0.11.0
	golang.org/x/term v0.45.0
	golang.org/x/text v0.44.0
	modernc.org/libc v1.80.1
	modernc.org/sqlite v1.62.0
	pgregory.net/rapid v1.3.0
)

require (
	codeberg.org/go-pdf/fpdf v0.12.0 // indirect
	filippo.io/hpke v0.4.0 // indirect
	fyne.io/fyne/v2 v2.7.1 // indirect
	github.com/google/uuid v1.6.0 // indirect
	github.com/mattn/go-isatty v0.0.24 // indirect
	github.com/ncruces/go-strftime v1.1.0 // indirect
	github.com/remyoudompheng/bigfft v0.0.0-20230129092748-24d4a6f8daec // indirect
	go.yaml.in/yaml/v3 v3.0.5 // indirect
	golang.org/x/crypto v0.55.0 // indirect
	golang.org/x/sys v0.49.0 // indirect
	modernc.org/mathutil v1.7.1 // indirect
	modernc.org/memory v1.12.1 // indirect
)
