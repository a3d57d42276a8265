// SPDX-License-Identifier: Apache-2.0
#include "advice/hand_terms.h"

#include <doctest/doctest.h>

using namespace nthtree::advice;

TEST_SUITE("advice") {
  TEST_CASE("a correction is told in spurs on each limb, in limbs, or on the tree") {
    CHECK(hand_terms(24, 12, 400).unit == HandUnit::spurs_on_each_limb);
    CHECK(hand_terms(24, 12, 400).amount == 2);
    CHECK(hand_terms(40, 12, 240).unit == HandUnit::limbs);  // a limb's worth is 20
    CHECK(hand_terms(40, 12, 240).amount == 2);
    CHECK(hand_terms(5, 12, 240).unit == HandUnit::spurs_on_the_tree);
    CHECK(hand_terms(5, 12, 240).amount == 5);
    CHECK(hand_terms(0.2, 12, 240).unit == HandUnit::none);
  }

  TEST_CASE("far over the target every limb carries too many: no long list of limbs to take") {
    CHECK(hand_terms(60, 12, 240).unit == HandUnit::limbs);  // three of twelve: still limbs
    CHECK(hand_terms(60, 12, 240).amount == 3);
    const HandTerms far = hand_terms(284, 12, 400);          // would be 8.5 limbs
    CHECK(far.unit == HandUnit::spurs_on_each_limb);
    CHECK(far.amount == 24);
    CHECK(hand_terms(30, 12, 240).amount == 1.5);
    CHECK(hand_terms(40, 3, 120).unit == HandUnit::spurs_on_each_limb);  // few limbs: none is spare
  }

  TEST_CASE("nobody is told to add a limb") {
    CHECK(hand_terms(-60, 12, 240).unit == HandUnit::spurs_on_each_limb);
    CHECK(hand_terms(-60, 12, 240).amount == 5);
  }

  TEST_CASE("without known limbs the tree is spoken of, and amounts are never zero or less") {
    CHECK(hand_terms(30, 0, 200).unit == HandUnit::spurs_on_the_tree);
    for (double spurs = -300; spurs <= 300; spurs += 7) {
      const HandTerms terms = hand_terms(spurs, 12, 180);
      CHECK((terms.unit == HandUnit::none || terms.amount > 0));
    }
  }
}
