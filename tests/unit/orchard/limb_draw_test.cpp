// SPDX-License-Identifier: Apache-2.0
#include "orchard/limb_draw.h"

#include <doctest/doctest.h>

#include <map>
#include <set>

using namespace nthtree::orchard;

TEST_SUITE("orchard") {
  TEST_CASE("every draw is one that may be counted, and about as long as asked for") {
    for (int limbs = 2; limbs <= 40; ++limbs) {
      for (int wanted = 1; wanted <= 8; ++wanted) {
        for (std::uint64_t seed = 1; seed < 20; ++seed) {
          const LimbDraw draw = draw_limbs(limbs, wanted, seed);
          CHECK(check_limb_draw(draw));
          CHECK(draw.drawn() >= 1);
          CHECK(draw.limb(draw.drawn() - 1) <= limbs);
          CHECK(draw.limb(draw.drawn()) > limbs);
        }
      }
    }
  }

  TEST_CASE("limbs of a draw are start, start + step and so on") {
    CHECK(LimbDraw{20, 2, 4}.drawn() == 5);
    CHECK(LimbDraw{20, 4, 4}.limb(4) == 20);
    CHECK(LimbDraw{19, 4, 4}.drawn() == 4);
    CHECK(LimbDraw{3, 4, 4}.drawn() == 0);
    CHECK(LimbDraw{}.drawn() == 0);
  }

  TEST_CASE("each limb is drawn as often as any other over many trees") {
    std::map<int, int> times;
    for (std::uint64_t tree = 0; tree < 20000; ++tree) {
      const LimbDraw draw =
          draw_limbs(20, 5, seed_of_tree(99, {1 + static_cast<int>(tree % 50),
                                              1 + static_cast<int>(tree / 50)}));
      for (int i = 0; i < draw.drawn(); ++i) ++times[draw.limb(i)];
    }
    CHECK(times.size() == 20);
    for (const auto& [limb, n] : times) CHECK(n == doctest::Approx(5000).epsilon(0.06));
  }

  TEST_CASE("asking again draws the same limbs of that tree, another tree others") {
    CHECK(draw_limbs(20, 5, seed_of_tree(7, {3, 14})) == draw_limbs(20, 5, seed_of_tree(7, {3, 14})));
    std::set<int> starts;
    for (int tree = 1; tree < 40; ++tree) {
      starts.insert(draw_limbs(20, 5, seed_of_tree(7, {3, tree})).start);
    }
    CHECK(starts.size() == 4);
  }

  TEST_CASE("a draw that cannot be is refused by the field that is wrong") {
    const auto where = [](const LimbDraw& draw) { return check_limb_draw(draw).error().where; };
    CHECK(where({0, 1, 1}) == "limbs_in_tree");
    CHECK(where({200, 1, 4}) == "limbs_in_tree");
    CHECK(where({20, 1, 0}) == "step");
    CHECK(where({20, 1, 21}) == "step");
    CHECK(where({20, 0, 4}) == "start");
    CHECK(where({20, 5, 4}) == "start");
  }

  TEST_CASE("a tree is its limbs times the mean of those counted") {
    CHECK(tree_of_limbs({14, 10, 12}, 20) == doctest::Approx(240));
    CHECK(tree_of_limbs({}, 20) == 0);
  }
}
