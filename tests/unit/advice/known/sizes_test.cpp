// SPDX-License-Identifier: Apache-2.0
#include "advice/known/sizes.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/random.h"
#include "unit/advice/season_builder.h"

using namespace nthtree;
using namespace nthtree::advice;
using test::SeasonBuilder;

namespace {

// Trees tapped and counted by one person; strong ones carry so many times what weak ones do.
SizeClasses sizes_of(double strong, int trees, std::uint64_t seed) {
  SeasonBuilder farm;
  base::Random random(seed);
  for (int i = 0; i < trees; ++i) {
    const int size = static_cast<int>(random.below(3));
    const double mean = 200 * (1 + (size - 1) * (strong - 1) / (strong + 1));
    farm.add(ledger::TreeSize{"b1", {1 + i / 80, 1 + i % 80}, static_cast<ledger::SizeClass>(size),
                              {}}, "p1");
    farm.tag("p1", 1 + i / 80, 1 + i % 80,
             static_cast<int>(random.negative_binomial(mean, 40)));
  }
  return size_classes(*farm.season.block("b1"), farm.now_ms());
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("classes that tell nothing do not pay, however many taps") {
    int pays = 0;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) pays += sizes_of(1, 40, seed).pays;
    CHECK(pays <= 1);
  }

  TEST_CASE("classes that tell much pay, and the mean of the block stays") {
    const SizeClasses sizes = sizes_of(2, 60, 3);
    REQUIRE(sizes.pays);
    CHECK(sizes.explained > 0.4);
    CHECK(sizes.factor_of(ledger::SizeClass::weak) < 0.85);
    CHECK(sizes.factor_of(ledger::SizeClass::strong) > 1.15);
    double sum = 0, trees = 0;
    for (std::size_t c = 0; c < 3; ++c) {
      sum += sizes.factor[c] * sizes.trees[c];
      trees += sizes.trees[c];
    }
    CHECK(sum / trees == doctest::Approx(1));
    CHECK(sizes.factor_at({39, 89}) == 1);  // nobody tapped it
  }

  TEST_CASE("it is asked for where trees differ much, and no longer where it does not pay") {
    CHECK(ask_for_size({}, 0.25, 30) == SizeAsk::no);
    CHECK(ask_for_size({}, 0.35, 3) == SizeAsk::no);
    CHECK(ask_for_size({}, 0.35, 12) == SizeAsk::on_trial);
    const SizeClasses nothing = sizes_of(1, 40, 5);
    CHECK(ask_for_size(nothing, 0.35, 40) == SizeAsk::no);
    CHECK(ask_for_size(sizes_of(2, 60, 3), 0.35, 60) == SizeAsk::yes);
    CHECK(ask_for_size(sizes_of(2, 8, 3), 0.25, 8) == SizeAsk::on_trial);  // begun: finish it
  }
}
