package landxml

import (
	"strings"
	"testing"

	"pourplane/survey"
)

// A CgPoint coded as a drain is not floor.
func TestDrainOfLandXML(t *testing.T) {
	const doc = `<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2"><Units><Metric areaUnit="squareMeter" linearUnit="meter" volumeUnit="cubicMeter" temperatureUnit="celsius" pressureUnit="HPA"/></Units><CgPoints>
<CgPoint name="1">0 0 10</CgPoint><CgPoint name="2">0 4 10</CgPoint><CgPoint name="3">4 0 10</CgPoint><CgPoint name="D7" code="DRN">2 2 9.9</CgPoint><CgPoint name="4" code="FLR">4 4 10</CgPoint></CgPoints></LandXML>`
	for _, c := range []struct {
		codes         map[string]survey.Role
		drains, shots int
	}{{nil, 1, 4}, {map[string]survey.Role{"DRN": survey.Floor}, 0, 5}} {
		s, err := Read(strings.NewReader(doc), "p.xml", survey.Options{Codes: c.codes})
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Drains()) != c.drains || len(s.Points) != c.shots || len(s.Served.Codes) != len(c.codes) {
			t.Errorf("%v: %d drains, %d shots, served %v", c.codes, len(s.Drains()), len(s.Points), s.Served.Codes)
		}
	}
}
