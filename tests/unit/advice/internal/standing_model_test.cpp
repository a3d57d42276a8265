// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/standing_model.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/random.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

BlockEvidence block_of(const std::map<std::string, std::vector<double>>& people) {
  BlockEvidence block;
  block.block = "b";
  block.has_target = true;
  block.target_spurs = 200;
  block.target.spurs_to_leave_per_tree = nthtree::orchard::Estimate::exactly(200);
  for (const auto& [person, shares] : people) {
    int n = 0;
    for (double share : shares) {
      CountPoint point;
      point.at_ms = ++n;
      point.tree = {n, 1};
      point.share_tag = share;
      point.spurs = 200 * share;
      block.people[person].add(point);
    }
  }
  return block;
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("with counting and target exact, ninety per cent intervals hold nine times in ten") {
    nthtree::base::Random random(21);
    CountingBias exact;
    int held = 0, all = 0;
    for (int season = 0; season < 120; ++season) {
      std::map<std::string, std::vector<double>> people;
      std::map<std::string, double> truth;
      const double crew = 0.10 + 0.2 * random.normal();
      for (int p = 0; p < 8; ++p) {
        const std::string name = "p" + std::to_string(p);
        truth[name] = crew + 0.2 * random.normal();
        for (int n = 0; n < 4; ++n) {
          const double mean = 200 * std::exp(truth[name]);
          people[name].push_back(
              static_cast<double>(random.negative_binomial(mean, 1 / 0.058)) / 200);
        }
      }
      const BlockEvidence block = block_of(people);
      StandingInput input;
      input.here = &block;
      input.bias = &exact;
      for (const Standing& standing : model_standings(input).pruners) {
        const double spurs = 200 * std::exp(truth[standing.person]);
        held += standing.spurs_per_tree.low <= spurs && spurs <= standing.spurs_per_tree.high;
        ++all;
      }
    }
    const double rate = static_cast<double>(held) / all;  // standard error 0.011 with the season's
    CHECK(rate > 0.86);
    CHECK(rate < 0.95);
  }

  TEST_CASE("the block's mean weighs people by the trees they pruned") {
    const BlockEvidence block = block_of({{"many", {1.0, 1.0, 1.0, 1.0, 1.0, 1.0}},
                                          {"few", {2.0, 2.0, 2.0, 2.0, 2.0, 2.0}}});
    CountingBias exact;
    StandingInput input;
    input.here = &block;
    input.bias = &exact;
    input.trees_pruned = {{"many", 900}, {"few", 100}};
    const double mean = std::exp(model_standings(input).block_standing.own.mean);
    CHECK(mean == doctest::Approx(1.1).epsilon(0.01));
    // Nobody noted the trees of "few": its six counts stand for the 50 trees between two of them.
    input.trees_pruned = {{"many", 900}};
    input.trees_per_count = 50;
    CHECK(std::exp(model_standings(input).block_standing.own.mean) ==
          doctest::Approx((900 + 300 * 2) / 1200.0).epsilon(0.01));
  }

  TEST_CASE("the block's mean is as sure as the spurs that each part of it stands for") {
    const BlockEvidence block = block_of({{"a", {0.5, 0.6, 0.4, 0.5, 0.6, 0.4}},
                                          {"b", {2.0, 2.6, 1.4, 2.1, 1.9, 2.0}}});
    CountingBias exact;
    exact.crew_log_mean_sd = 0;
    StandingInput input;
    input.here = &block;
    input.bias = &exact;
    input.trees_pruned = {{"a", 500}, {"b", 500}};
    const BlockStandings all = model_standings(input);
    double mean = 0, variance = 0;
    for (const Standing& one : all.pruners) {
      const double spurs = 500 * std::exp(one.own.mean);
      mean += spurs;
      variance += std::pow(spurs * one.own.sd, 2);
    }
    CHECK(all.block_standing.own.sd == doctest::Approx(std::sqrt(variance) / mean));
  }

  TEST_CASE("bare trees and two kinds of trees are told") {
    const BlockEvidence bare = block_of(
        {{"p", {1, 1.1, 0, 0.9, 1, 1.2, 0.8, 0.01, 1, 1.1, 0.9, 1, 1.05, 1, 0.95, 1}}});
    const BlockEvidence two = block_of({{"p", {0.5, 1.6, 0.5, 1.7, 0.6, 1.5, 0.5, 1.6, 0.5, 1.7,
                                               1.6, 0.5, 0.6, 1.7, 0.5, 1.5}}});
    CountingBias exact;
    StandingInput input;
    input.bias = &exact;
    input.here = &bare;
    CHECK(model_standings(input).pruners[0].bare_trees);
    input.here = &two;
    CHECK(model_standings(input).pruners[0].mixed);
    CHECK_FALSE(model_standings(input).pruners[0].bare_trees);
  }

  TEST_CASE("a farm's other blocks make the spread known") {
    SeasonBuilder farm;
    farm.block(nthtree::test::block_settings("b2"));
    farm.tag("p1", 1, 5, 200);
    const double alone = standing_of(farm.season, "b1", "p1", farm.now_ms()).tree_df;
    farm.tags("p2", {180, 190, 185, 195, 200, 188, 192, 186, 199, 184}, 3, "b2");
    CHECK(standing_of(farm.season, "b1", "p1", farm.now_ms()).tree_df > alone + 5);
  }
}
