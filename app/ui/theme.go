// Package ui is how Counterproof looks: a proof desk. Warm paper on a desk, ink,
// one accent, and proofreader's marks.
//
// It holds the theme with its three tones, the one type scale, icons of our own,
// and the few widgets that all screens are made of. It knows nothing of cases and
// findings. Colour is never the only signal: whatever has a colour has a shape or
// a word as well.
package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"

	"counterproof/assets/fonts"
)

// Tone is one of the three ways to light the desk.
type Tone int

// The tones.
const (
	Light Tone = iota
	Dark
	Contrast
)

// Tones lists all tones.
var Tones = []Tone{Light, Dark, Contrast}

// String names the tone, as preferences and pictures do.
func (t Tone) String() string { return [...]string{"light", "dark", "contrast"}[t] }

// Words names the tone in the menu.
func (t Tone) Words() string { return [...]string{"Light", "Dark", "High contrast"}[t] }

// TextScales are the sizes of text that the program offers, 1 being 100 %.
var TextScales = []float32{1, 1.25, 1.5, 2}

// Theme is the theme of the program. The zero Theme is light at 100 % text.
type Theme struct {
	Tone Tone
	// Scale enlarges text, and what goes with it; 0 counts as 1.
	Scale float32
}

var _ fyne.Theme = Theme{}

// Colours beside those that Fyne names.
const (
	// ColorPaper is a page; theme.ColorNameBackground is the desk it lies on.
	ColorPaper fyne.ThemeColorName = "paper"
	// ColorRail is the cover of the folder at the left of the window.
	ColorRail     fyne.ThemeColorName = "rail"
	ColorRailInk  fyne.ThemeColorName = "railInk"
	ColorRailMark fyne.ThemeColorName = "railMark"
	// ColorTab is the tab of the place in view, ColorTabInk its text and icon.
	ColorTab    fyne.ThemeColorName = "tab"
	ColorTabInk fyne.ThemeColorName = "tabInk"
	// ColorInk is text, ColorFaded text of less weight (still 4.5:1 on paper and desk).
	ColorInk   = theme.ColorNameForeground
	ColorFaded = theme.ColorNamePlaceHolder
	// ColorRule is a thin line on a page.
	ColorRule = theme.ColorNameSeparator
	// ColorAccent is the pencil: the next thing to do, and differing letters.
	ColorAccent = theme.ColorNamePrimary
	// ColorTint lies behind differing letters.
	ColorTint fyne.ThemeColorName = "tint"
	// ColorDrop is the shadow that a page casts.
	ColorDrop fyne.ThemeColorName = "drop"
	// ColorVeil lies over the window where a sheet is laid on it.
	ColorVeil fyne.ThemeColorName = "veil"
)

// Text sizes. There are no others.
const (
	SizeCaption = theme.SizeNameCaptionText
	SizeBody    = theme.SizeNameText
	SizeHeading = theme.SizeNameSubHeadingText
	SizeTitle   = theme.SizeNameHeadingText
)

func rgb(hex uint32) color.NRGBA {
	return color.NRGBA{R: uint8(hex >> 16), G: uint8(hex >> 8), B: uint8(hex), A: 0xFF}
}

// menuInk is an opaque color. Fyne 2.7.1 takes 95 % of its alpha for the shortcuts in menus, and of that
// the low byte alone (widget/menu_item.go, shortcutColor): of 0xFFFF nearly nothing is left.
type menuInk struct{ color.NRGBA }

// opaque is an alpha whose high byte is 0xFF, and of whose 95 % the low byte is too.
const opaque = 0xFFCA

// RGBA is for color.Color.
func (c menuInk) RGBA() (r, g, b, a uint32) {
	r, g, b, _ = c.NRGBA.RGBA()
	return min(r, opaque), min(g, opaque), min(b, opaque), opaque
}

func alpha(c color.NRGBA, a uint8) color.NRGBA { c.A = a; return c }

type palette struct {
	desk, paper, raised, ink, faded, rule, accent, onAccent, tint, rail, railInk, railMark, good, warn, tab,
	tabInk color.NRGBA
}

var palettes = [...]palette{
	Light: {
		desk: rgb(0xE4DBC8), paper: rgb(0xFCF8EE), raised: rgb(0xF3ECDC), ink: rgb(0x26211C), faded: rgb(0x625748),
		rule:   rgb(0xC9BB9F),
		accent: rgb(0xA1301A), onAccent: rgb(0xFFFAF2), tint: rgb(0xF6DCCB), rail: rgb(0x2F3A3A), railInk: rgb(0xEFE7D6),
		railMark: rgb(0xF0A58C),
		good:     rgb(0x2F5D46), warn: rgb(0x7A4B00), tab: rgb(0xFCF8EE), tabInk: rgb(0x26211C),
	},
	Dark: {
		desk: rgb(0x1B1917), paper: rgb(0x292622), raised: rgb(0x35312B), ink: rgb(0xF0E8D9), faded: rgb(0xBCAF9B),
		rule:   rgb(0x554D42),
		accent: rgb(0xEE9274), onAccent: rgb(0x24160F), tint: rgb(0x5B3226), rail: rgb(0x121615), railInk: rgb(0xE6DECF),
		railMark: rgb(0xEE9274),
		good:     rgb(0x93C6A8), warn: rgb(0xE2B566), tab: rgb(0xE6DECF), tabInk: rgb(0x1B1917),
	},
	Contrast: {
		desk: rgb(0x000000), paper: rgb(0x000000), raised: rgb(0x1A1A1A), ink: rgb(0xFFFFFF), faded: rgb(0xB4B4B4),
		rule:   rgb(0xFFFFFF),
		accent: rgb(0xFFD93B), onAccent: rgb(0x000000), tint: rgb(0x4A3C00), rail: rgb(0x000000), railInk: rgb(0xFFFFFF),
		railMark: rgb(0xFFD93B),
		good:     rgb(0xFFFFFF), warn: rgb(0xFFD93B), tab: rgb(0xFFFFFF), tabInk: rgb(0x000000),
	},
}

// Color returns a colour of the tone. Fyne's own light and dark are not used.
func (t Theme) Color(name fyne.ThemeColorName, _ fyne.ThemeVariant) color.Color {
	p := palettes[t.Tone]
	switch name {
	case theme.ColorNameBackground:
		return p.desk
	case ColorPaper, theme.ColorNameInputBackground, theme.ColorNameMenuBackground, theme.ColorNameOverlayBackground:
		return p.paper
	case theme.ColorNameHeaderBackground, theme.ColorNameButton, theme.ColorNameDisabledButton:
		return p.raised
	case ColorInk:
		return menuInk{p.ink}
	case ColorFaded, theme.ColorNameDisabled:
		return p.faded
	case ColorRule:
		return p.rule
	case theme.ColorNameInputBorder:
		return p.faded
	case ColorAccent, theme.ColorNameHyperlink, theme.ColorNameError:
		return p.accent
	case theme.ColorNameForegroundOnPrimary, theme.ColorNameForegroundOnError, theme.ColorNameForegroundOnWarning,
		theme.ColorNameForegroundOnSuccess:
		return p.onAccent
	case ColorTint:
		return p.tint
	case ColorVeil:
		if t.Tone == Contrast {
			return alpha(p.desk, 0xB0)
		}
		return color.NRGBA{A: 0x40}
	case ColorRail:
		return p.rail
	case ColorRailInk:
		return p.railInk
	case ColorRailMark:
		return p.railMark
	case ColorTab:
		return p.tab
	case ColorTabInk:
		return p.tabInk
	case theme.ColorNameSuccess:
		return p.good
	case theme.ColorNameWarning:
		return p.warn
	case theme.ColorNameHover:
		return alpha(p.ink, 0x14)
	case theme.ColorNamePressed:
		return alpha(p.ink, 0x20)
	case theme.ColorNameSelection, theme.ColorNameFocus: // lists and menus draw it under faded and accented text
		return alpha(p.accent, 0x30)
	case theme.ColorNameScrollBar:
		return alpha(p.faded, 0xB0)
	case theme.ColorNameScrollBarBackground:
		return alpha(p.rule, 0x40)
	case ColorDrop:
		if t.Tone == Contrast {
			return color.Transparent
		}
		return color.NRGBA{A: 0x40}
	case theme.ColorNameShadow: // of menus, and where a page goes on; in black on black it is an edge
		if t.Tone == Contrast {
			return p.ink
		}
		return color.NRGBA{A: 0x40}
	}
	return theme.DefaultTheme().Color(name, theme.VariantLight)
}

var (
	sans           = fyne.NewStaticResource("SourceSans3-Regular.ttf", fonts.Sans)
	sansBold       = fyne.NewStaticResource("SourceSans3-SemiBold.ttf", fonts.SansBold)
	sansItalic     = fyne.NewStaticResource("SourceSans3-Italic.ttf", fonts.SansItalic)
	sansBoldItalic = fyne.NewStaticResource("SourceSans3-SemiBoldItalic.ttf", fonts.SansBoldItalic)
	serif          = fyne.NewStaticResource("SourceSerif4-Regular.ttf", fonts.Serif)
	serifBold      = fyne.NewStaticResource("SourceSerif4-SemiBold.ttf", fonts.SerifBold)
	serifItalic    = fyne.NewStaticResource("SourceSerif4-Italic.ttf", fonts.SerifItalic)
)

// Font returns the sans faces; the serif ones are for what a ballot says (Words).
func (t Theme) Font(s fyne.TextStyle) fyne.Resource {
	switch {
	case s.Symbol:
		return theme.DefaultTheme().Font(s)
	case s.Bold && s.Italic:
		return sansBoldItalic
	case s.Bold:
		return sansBold
	case s.Italic:
		return sansItalic
	}
	return sans
}

// Icon returns Fyne's icons for its own widgets.
func (t Theme) Icon(name fyne.ThemeIconName) fyne.Resource { return theme.DefaultTheme().Icon(name) }

func (t Theme) scale() float32 {
	if t.Scale <= 0 {
		return 1
	}
	return t.Scale
}

// Size returns a size. Text, icons and bars grow with Scale; the gaps between
// things half as fast, so that a screen at 200 % still has room for its text.
func (t Theme) Size(name fyne.ThemeSizeName) float32 {
	k := t.scale()
	gap := 1 + (k-1)/2
	switch name {
	case SizeCaption:
		return 13 * k
	case SizeBody:
		return 16 * k
	case SizeHeading:
		return 20 * k
	case SizeTitle:
		return 29 * (1 + (k-1)*0.75)
	case theme.SizeNameInlineIcon:
		return 20 * k
	case theme.SizeNamePadding:
		return 5 * gap
	case theme.SizeNameInnerPadding:
		return 8 * gap
	case theme.SizeNameLineSpacing:
		return 5 * k
	case theme.SizeNameSeparatorThickness, theme.SizeNameInputBorder:
		if t.Tone == Contrast {
			return 2
		}
		return 1
	case theme.SizeNameInputRadius, theme.SizeNameSelectionRadius:
		return 2
	case theme.SizeNameScrollBar:
		return 12 * gap
	case theme.SizeNameScrollBarSmall:
		return 6
	case theme.SizeNameScrollBarRadius:
		return 2
	}
	return theme.DefaultTheme().Size(name)
}
