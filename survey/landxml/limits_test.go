package landxml

import (
	"fmt"
	"strings"
	"testing"

	"pourplane/survey"
)

func TestLandXMLLimits(t *testing.T) {
	nested := func(n int) string {
		return `<LandXML version="1.2"><Units><Metric linearUnit="meter"/></Units>` + strings.Repeat("<CgPoints>", n) +
			`<CgPoint name="1">1 2 3</CgPoint>` + strings.Repeat("</CgPoints>", n) + "</LandXML>"
	}
	with := func(attributes string) string {
		return "<LandXML version=\"1.2\"><Units><Metric linearUnit=\"meter\"/></Units>\n<CgPoints" + attributes + `><CgPoint name="1">1 2 3</CgPoint></CgPoints></LandXML>`
	}
	many := func(format string, n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, format, i)
		}
		return b.String()
	}
	for _, c := range []struct{ name, doc, want string }{
		{"as deep as may be", nested(98), ""},
		{"too deep", nested(99), `x.xml:1:1057: <CgPoint>: found elements nested more than 100 deep, want a LandXML document, whose elements are a dozen deep`},
		{"a million deep", nested(1e6), `x.xml:1:1057: <CgPoints>: found elements nested more than 100 deep, want a LandXML document, whose elements are a dozen deep`},
		{"as many attributes as may be", with(many(` a%d=""`, 250)), ""},
		{"too many", with(many(` a%d=""`, 251)), `x.xml:2:1: <CgPoints>: found 251 attributes, want up to 250`},
		{"a million", with(many(` a%d=""`, 1e6)), `x.xml:2:1: <CgPoints>: found 1000000 attributes, want up to 250`},
		{"as many namespaces as may be", with(many(` xmlns:a%d="u"`, 100)), ""},
		{"too many namespaces", with(many(` xmlns:a%d="u"`, 101)), `x.xml:2:1: <CgPoints>: found more than 100 namespaces at once, want a LandXML document, which has one or two`},
	} {
		_, err := Read(strings.NewReader(c.doc), "x.xml", survey.Options{})
		got := ""
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}
