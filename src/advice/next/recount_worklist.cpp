// SPDX-License-Identifier: Apache-2.0
#include "advice/next/recount_worklist.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "advice/internal/current.h"
#include "advice/internal/day_parts.h"
#include "advice/judged/verdict.h"
#include "base/clock.h"

namespace nthtree::advice {
namespace {

constexpr std::int64_t tag_age_ms_max = 10 * base::day_ms;  // older trees are far away
constexpr double odd_residual = 2.2;

struct Candidate {
  const CountPoint* count = nullptr;
  double oddness = 0;  // standardized distance from the person's own level
};

struct PersonState {
  std::string person;
  double level_variance = 1, bias_variance = 0, pair_variance = 0.01, count_variance = 0.07;
  double weight = 1;  // how much the verdict is still open
  bool doubtful = false, no_pair = false, undecided = false;
  std::vector<Candidate> tags;  // best first
};

PersonState state_of(const BlockContext& context, const Standing& standing,
                     const PersonEvidence& evidence) {
  PersonState state;
  state.person = standing.person;
  const Counter counter = context.bias->of(standing.person);
  state.count_variance = standing.count_log_variance;
  // What a pair teaches serves the counts to come as well: a person's level is taken to be known
  // from eight counts at least, or somebody new would never be worth a walk.
  state.level_variance = standing.count_log_variance / std::max(8.0, standing.effective_counts);
  state.bias_variance = counter.log_sd * counter.log_sd;
  state.pair_variance = counter.log_sd_of_one * counter.log_sd_of_one;
  state.no_pair = counter.pairs == 0;
  state.doubtful = !counter.signs.empty();
  state.undecided = judge(standing, context.settings).kind == VerdictKind::count_more;
  state.weight = (state.undecided ? 1.0 : 0.3) * (state.doubtful ? 3.0 : 1.0);
  for (const CountPoint& count : evidence.counts) {
    if (count.has_check() || count.at_ms < context.now_ms - tag_age_ms_max) continue;
    const double level = std::exp(standing.log_ratio.mean);
    const double off = count.share(std::exp(counter.log_mean)) / level - 1;
    const double cv = std::sqrt(std::expm1(standing.tree_log_sd * standing.tree_log_sd));
    state.tags.push_back({&count, std::fabs(off) / cv});
  }
  // The oddest number first (a slip of the finger shows there), then the latest: nearest to walk.
  std::sort(state.tags.begin(), state.tags.end(), [](const Candidate& a, const Candidate& b) {
    const bool a_odd = a.oddness > odd_residual, b_odd = b.oddness > odd_residual;
    if (a_odd != b_odd) return a_odd;
    if (a.count->at_ms != b.count->at_ms) return a.count->at_ms > b.count->at_ms;
    return a.count->tree < b.count->tree;
  });
  return state;
}

// What the fall of the level's variance by one more pair is made of.
GainTerms gain_of_pair(const PersonState& state, const Candidate& tag) {
  return {state.weight,
          tag.oddness > odd_residual ? 1 + 0.5 * (tag.oddness - odd_residual) : 1,
          state.count_variance,
          state.level_variance,
          state.bias_variance,
          1 / (1 / std::max(1e-9, state.bias_variance) + 1 / std::max(1e-9, state.pair_variance))};
}

const char* reason_of(const PersonState& state, const Candidate& tag) {
  if (state.doubtful) return "recount_doubtful_counter";
  if (tag.oddness > odd_residual) return "recount_odd_number";
  if (state.no_pair) return "recount_no_pair";
  return state.undecided ? "recount_undecided" : "recount_routine";
}

}  // namespace

double GainTerms::gain() const {
  return weight * odd * count_variance *
         (1 / (level_variance + bias_after) - 1 / (level_variance + bias_before));
}

std::vector<Recount> recounts_in(const BlockContext& context, int most) {
  std::vector<PersonState> people;
  for (const Standing& standing : context.standings().pruners) {
    const auto found = context.here->people.find(standing.person);
    if (found == context.here->people.end()) continue;
    PersonState state = state_of(context, standing, found->second);
    if (!state.tags.empty()) people.push_back(std::move(state));
  }
  std::vector<Recount> list;
  std::map<std::string, std::size_t> used;
  while (static_cast<int>(list.size()) < most) {
    PersonState* best = nullptr;
    GainTerms most_gain;
    for (PersonState& state : people) {
      const std::size_t next = used[state.person];
      if (next >= state.tags.size() || next >= recounts_of_one_person) continue;
      const GainTerms terms = gain_of_pair(state, state.tags[next]);
      if (!best || terms.gain() > most_gain.gain()) {
        best = &state;
        most_gain = terms;
      }
    }
    if (!best) break;
    const Candidate& tag = best->tags[used[best->person]++];
    list.push_back({tag.count->tree, best->person, tag.count->at_ms, most_gain.gain(),
                    {reason_of(*best, tag), {{"gain", most_gain.gain()}}},
                    static_cast<int>(tag.count->spurs - tag.count->more().mended), most_gain});
    // One pair more is then known of this person: the next one gains less.
    best->bias_variance = most_gain.bias_after;
    best->no_pair = false;
  }
  return list;
}

std::vector<Recount> recount_worklist(const ledger::Season& season, const std::string& block,
                                      std::int64_t now_ms, int most) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return {};
  return recounts_in(make_context(season, *found, now_ms, cut_for(season, now_ms)), most);
}

}  // namespace nthtree::advice
