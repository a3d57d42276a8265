// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/sum_tree.h"

#include <doctest/doctest.h>

#include <string>

#include "base/random.h"

using namespace nthtree::advice;

namespace {

int additions = 0;

struct Tally {
  long sum = 0;
  std::string parts;  // in the order added
  void add(const Tally& other) {
    sum += other.sum;
    parts += other.parts;
    ++additions;
  }
};

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("all parts, and all but one, add up whatever was set before") {
    for (int parts : {1, 2, 3, 5, 8, 13}) {
      nthtree::base::Random random(static_cast<std::uint64_t>(parts));
      SumTree<Tally> tree(static_cast<std::size_t>(parts));
      std::vector<long> values(static_cast<std::size_t>(parts));
      for (int round = 0; round < 60; ++round) {
        const auto i = static_cast<std::size_t>(random.below(static_cast<std::uint64_t>(parts)));
        values[i] = static_cast<long>(random.below(1000));
        tree.set(i, {values[i], ""});
        long all = 0;
        for (long value : values) all += value;
        CHECK(tree.all().sum == all);
        CHECK(tree.all_but(i).sum == all - values[i]);
      }
    }
  }

  TEST_CASE("parts are added in their order, and one that changes costs few additions") {
    SumTree<Tally> tree(26);
    for (int i = 0; i < 26; ++i) {
      tree.set(static_cast<std::size_t>(i), {1, std::string(1, static_cast<char>('a' + i))});
    }
    CHECK(tree.all().parts == "abcdefghijklmnopqrstuvwxyz");
    additions = 0;
    tree.set(4, {1, "E"});
    CHECK(tree.all().parts == "abcdEfghijklmnopqrstuvwxyz");
    CHECK(tree.all_but(4).sum == 25);
    CHECK(additions <= 2 * 5);  // 32 places: five levels
  }

  TEST_CASE("a sum of no parts is nothing") {
    SumTree<Tally> tree;
    CHECK(tree.all().sum == 0);
  }

  TEST_CASE("tables add up key by key") {
    std::map<std::string, Tally> sums{{"b", {2, ""}}, {"d", {4, ""}}};
    add_each<std::string, Tally>({{"a", {1, ""}}, {"b", {10, ""}}, {"e", {5, ""}}}, sums);
    CHECK(sums.size() == 4);
    CHECK(sums["a"].sum == 1);
    CHECK(sums["b"].sum == 12);
    CHECK(sums["d"].sum == 4);
    CHECK(sums["e"].sum == 5);
  }
}
