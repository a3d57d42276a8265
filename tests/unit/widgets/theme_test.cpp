// SPDX-License-Identifier: Apache-2.0
#include "widgets/theme.h"

#include <doctest/doctest.h>

using namespace nthtree::widgets;

TEST_SUITE("widgets") {
  // W3C, Understanding WCAG 2.2, technique G17 and G18: black on white is 21:1, and #777777 on
  // white, the grey that just fails 4.5:1, is 4.48:1; #595959 on white is 7.0:1 (WebAIM's list of
  // the lightest grey for AAA).
  TEST_CASE("contrast ratios follow WCAG 2.2") {
    CHECK(contrast_ratio(rgb(0x000000), rgb(0xFFFFFF)) == doctest::Approx(21.0));
    CHECK(contrast_ratio(rgb(0xFFFFFF), rgb(0x777777)) == doctest::Approx(4.48).epsilon(0.002));
    CHECK(contrast_ratio(rgb(0x595959), rgb(0xFFFFFF)) == doctest::Approx(7.0).epsilon(0.003));
    CHECK(contrast_ratio(rgb(0x123456), rgb(0x123456)) == doctest::Approx(1.0));
  }

  TEST_CASE("every text of both themes stands out seven to one") {
    for (bool dusk : {false, true}) {
      for (const NamedPair& named : contrast_pairs(make_theme({.dusk = dusk}))) {
        INFO((dusk ? "dusk: " : "sun: ") << named.name);
        CHECK(contrast_ratio(named.pair.ink, named.pair.back) >= 7.0);
      }
    }
  }

  // WCAG 2.2, success criterion 1.4.11 (non-text contrast) and 2.4.13 (focus appearance): 3:1.
  TEST_CASE("the focus ring and the marks in charts stand out three to one") {
    for (bool dusk : {false, true}) {
      const Theme theme = make_theme({.dusk = dusk});
      CHECK(contrast_ratio(theme.focus, theme.page.back) >= 3.0);
      CHECK(contrast_ratio(theme.focus, theme.card.back) >= 3.0);
      for (Color mark : {theme.chart_line, theme.chart_mark, theme.chart_limit}) {
        CHECK(contrast_ratio(mark, theme.card.back) >= 3.0);
      }
    }
  }

  TEST_CASE("targets are never under twelve millimetres and grow with the text") {
    CHECK(make_theme({}).target >= 46);
    CHECK(make_theme({.text_scale = 1.6f}).target > make_theme({}).target);
    CHECK(make_theme({.text_scale = 9}).look.text_scale == doctest::Approx(1.6));
  }
}
