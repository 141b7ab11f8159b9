package units

import (
	"errors"
	"fmt"
	"strings"

	"kitgauge/checker/spelling"
)

func unknownUnit(text, symbol string, want Dimension) error {
	says := fmt.Sprintf("%s has an unknown unit %s: %s", quoted(text), quoted(symbol), takes(want))
	near := nearest(symbol, want)
	if near == "" {
		return errors.New(says)
	}
	meant := strings.TrimSuffix(text, symbol)
	return &Misspelt{says + " (nearest is " + near + ")", strings.TrimRight(meant, " \t") + " " + near}
}

// nicknames are everyday words for units. They are not accepted, since several mean different units in different
// places (a gallon, an ounce) and a file with one spelling is easier to search; each gets the symbol probably meant.
var nicknames = map[string]string{
	"\"": "in", "inch": "in", "inches": "in", "'": "ft", "foot": "ft", "feet": "ft", "metre": "m", "meter": "m",
	"micron": "um", "mile": "mi", "miles": "mi", "sqmm": "mm2", "sq mm": "mm2", "sq in": "in2",
	"cc": "cm3", "ccm": "cm3", "cu in": "in3", "litre": "l", "liter": "l", "ltr": "l", "litres": "l", "liters": "l",
	"gal": "US gal", "gallon": "US gal", "gallons": "US gal", "fl oz": "US fl oz", "floz": "US fl oz",
	"lbs": "lb", "pound": "lb", "pounds": "lb", "ounce": "oz", "ounces": "oz", "gram": "g", "grams": "g", "kilo": "kg",
	"sec": "s", "second": "s", "seconds": "s", "mins": "min", "minute": "min", "minutes": "min",
	"hr": "h", "hrs": "h", "hour": "h", "hours": "h", "day": "d", "days": "d", "week": "wk", "weeks": "wk",
	"degree": "deg", "degrees": "deg", "amp": "A", "amps": "A", "volt": "V", "volts": "V", "watt": "W", "watts": "W",
	"ohms": "ohm", "r": "ohm", "c": "degC", "celsius": "degC", "f": "degF", "fahrenheit": "degF", "kelvin": "K",
	"ft lb": "lbf ft", "lb ft": "lbf ft", "ft-lb": "lbf ft", "lbf-ft": "lbf ft", "ft-lbf": "lbf ft",
	"in lb": "lbf in", "in-lb": "lbf in", "lbf-in": "lbf in", "lb in": "lbf in",
	"gee": "gn", "cc/h": "cm3/h", "cc/min": "cm3/min", "ml/h": "cm3/h", "ml/min": "cm3/min",
	"cp": "mPa s", "p": "Pa s", "st": "mm2/s", "kph": "km/h", "kmh": "km/h", "rpm": "1/min", "percent": "%",
}

// nearest returns the symbol of the wanted dimension that was probably meant, "" when none is near.
func nearest(symbol string, want Dimension) string {
	word := strings.ToLower(string(respell(nil, symbol)))
	if e := bySymbol[nicknames[word]]; e != nil && e.symbol != "" && e.dim == want {
		return e.symbol
	}
	best, least := "", min(2, len(word)/2)+1
	for _, s := range Accepted(want) {
		if d := spelling.Distance(word, strings.ToLower(s)); d < least {
			best, least = s, d
		}
	}
	return best
}
