// SPDX-License-Identifier: Apache-2.0
#include "orchard/frost.h"

#include <doctest/doctest.h>

#include <vector>

using namespace nthtree::orchard;

TEST_SUITE("orchard") {
  TEST_CASE("a colder night never kills fewer buds, and a later stage bears less cold") {
    const FrostStage* before = nullptr;
    for (const FrostStage& stage : frost_stages()) {
      double killed_before = 0;
      for (double low_c = 2; low_c > -25; low_c -= 0.25) {
        const double killed = share_killed(stage, low_c);
        CHECK(killed >= killed_before);
        CHECK(killed <= 1);
        killed_before = killed;
      }
      if (before) {
        CHECK(stage.kill_10_f >= before->kill_10_f);
        CHECK(stage.kill_90_f >= before->kill_90_f);
      }
      before = &stage;
    }
  }

  TEST_CASE("without a cold night all are alive") {
    CHECK(share_alive({}) == 1);
    CHECK(share_killed(frost_stages()[0], 5) == 0);
    const std::vector<double> nights = {0.5, 1, 0.2};
    CHECK(share_alive(nights) == 0);
  }
}
