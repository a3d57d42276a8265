// SPDX-License-Identifier: Apache-2.0
#include "minutes.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "advice/internal/standing_model.h"
#include "advice/judged/against_crew.h"
#include "advice/judged/verdict.h"
#include "base/random.h"
#include "methods.h"

namespace nthtree::oc {
namespace {

using advice::AgainstCrewKind;

constexpr double spurs_wanted = 250;
constexpr std::array<double, crew_size> true_levels = {1.15, 0.85, 1.225, 0.775, 1.4,   0.6,
                                                  2.0,  1.0,  1.075, 0.925, 1.225, 1.4};
constexpr std::size_t levels_told = 10;  // the last two are more of the same
constexpr int limbs_mean = 20;
// Limbs shrink upwards on real trees, which an even step makes use of: so much of their variance.
constexpr double trend_share = 0.35;
constexpr double morning_sd = 0.15, slope_mean = 0.85, slope_sd = 0.10;

bool scores_of_pruners(Design design) {
  return design == Design::limbs_scores || design == Design::scores_walk;
}
bool has_walk(Design design) {
  return design == Design::limbs_walk || design == Design::scores_walk;
}
bool has_classes(Design design) { return design == Design::limbs_classes; }

struct Tree {
  std::vector<int> limbs;
  double spurs = 0;
  double size = 1;  // of its class, by which its own number scales
};

// A person's eye, its scale of the morning aside.
struct TrueEye {
  double slope = 1, scatter_sd = 0, morning = 0;
  double score(double spurs, base::Random& random) const {
    return morning + slope * std::log(std::max(1.0, spurs) / spurs_wanted) +
           scatter_sd * random.normal();
  }
};

class Farm {
 public:
  Farm(const MinutesPlan& plan, std::uint64_t seed)
      : plan_(plan), share_(share_of(plan)), random_(seed) {
    block_.block = "b";
    block_.has_target = true;
    block_.target_spurs = spurs_wanted;
    block_.target.spurs_to_leave_per_tree = orchard::Estimate::exactly(spurs_wanted);
    input_.here = &block_;
    input_.bias = &exact_;
    input_.known_spread.df = 12;
    input_.known_spread.squares = 12 * plan.cv * plan.cv * (has_classes(plan.design) ? left() : 1);
    for (int i = 0; i <= crew_size; ++i) {
      eyes_.push_back(new_eye());
      if (plan.eyes_known && plan.eye > 0) input_.known_eyes[name(i)] = pairs_before(eyes_.back());
    }
  }

  template <typename Judge>
  void day(int number, Judge judge) {
    day_ = number;
    for (TrueEye& eye : eyes_) eye.morning = morning_sd * random_.normal();
    std::vector<std::vector<Seen>> seen(crew_size);
    for (int unit = 0; unit < share_.units; ++unit) {
      for (int i = 0; i < crew_size; ++i) count_one(i, unit, seen[static_cast<std::size_t>(i)]);
      judge(*this, (unit + 1.0) / share_.units);
    }
    if (!has_walk(plan_.design) || plan_.eye <= 0) return;
    for (int i = 0; i < crew_size; ++i) walk_past(i, seen[static_cast<std::size_t>(i)]);
    judge(*this, 1);
  }

  std::vector<VerdictKind> verdicts() const {
    std::vector<VerdictKind> told;
    const advice::Settings settings;
    for (const auto& standing : advice::model_standings(input_).pruners) {
      told.push_back(advice::kind_of(standing, settings));
    }
    return told;
  }

  // Against the others, by pruner.
  std::vector<AgainstCrewKind> against() const {
    std::vector<AgainstCrewKind> told;
    const advice::BlockStandings standings = advice::model_standings(input_);
    for (const auto& standing : standings.pruners) {
      told.push_back(advice::against_crew(standings, standing.person, {}).kind);
    }
    return told;
  }

 private:
  struct Seen {
    Tree tree;
    int count = -1;
  };

  static std::string name(int i) { return i == crew_size ? "lead" : "p" + std::to_string(100 + i); }
  double left() const { return 1 - plan_.size_share; }

  TrueEye new_eye() {
    TrueEye eye;
    eye.slope = std::max(0.4, slope_mean + slope_sd * random_.normal());
    const double rho2 = plan_.eye * plan_.eye;
    eye.scatter_sd = rho2 > 0 ? eye.slope * plan_.cv * std::sqrt(1 / rho2 - 1) : 0;
    return eye;
  }

  Tree grow(double ratio) {
    Tree tree;
    double cv = plan_.cv;
    if (has_classes(plan_.design)) {
      // Three classes, a quarter weak and a quarter strong.
      const double step = plan_.cv * std::sqrt(2 * plan_.size_share), u = random_.uniform();
      tree.size = u < 0.25 ? 1 - step : u < 0.75 ? 1 : 1 + step;
      cv = plan_.cv * std::sqrt(left());
    }
    const double mean = spurs_wanted * ratio * tree.size;
    const double inverse_k = std::max(1e-4, cv * cv - 1 / mean);
    const double spurs =
        static_cast<double>(random_.negative_binomial(mean, 1 / inverse_k));
    const int limbs = limbs_mean - 4 + static_cast<int>(random_.below(9));
    std::vector<double> weights;
    double sum = 0;
    const double trend = plan_.limb_cv * std::sqrt(3 * trend_share);
    // What is left for chance, beside that a limb's spurs come in whole numbers.
    const double chance = std::max(
        0.01, plan_.limb_cv * plan_.limb_cv * (1 - trend_share) - limbs / std::max(1.0, spurs));
    for (int j = 0; j < limbs; ++j) {
      const double place = 1 + trend * (1 - (2 * j + 1.0) / limbs);
      weights.push_back(place * random_.gamma(1 / chance) * chance);
      sum += weights.back();
    }
    for (const double weight : weights) {
      tree.limbs.push_back(static_cast<int>(random_.poisson(spurs * weight / sum)));
      tree.spurs += tree.limbs.back();
    }
    return tree;
  }

  double class_told(const Tree& tree) {
    if (!has_classes(plan_.design) || random_.chance(plan_.class_right)) return tree.size;
    const double step = plan_.cv * std::sqrt(2 * plan_.size_share);
    return tree.size != 1 ? 1 : random_.chance(0.5) ? 1 - step : 1 + step;
  }

  void count_one(int i, int unit, std::vector<Seen>& seen) {
    const double ratio = true_levels[static_cast<std::size_t>(i)];
    advice::PersonEvidence& person = block_.people[name(i)];
    Seen one{grow(ratio), static_cast<int>(person.counts.size())};
    if (scores_of_pruners(plan_.design) && plan_.eye > 0) {
      const int looks =
          share_.looks * (unit + 1) / share_.units - share_.looks * unit / share_.units;
      add_score(i, i, one);
      for (int look = 1; look < looks; ++look) add_score(i, i, {grow(ratio), -1});
    }
    advice::CountPoint point;
    point.at_ms = ++clock_;
    point.day = day_;
    point.tree = {1 + static_cast<int>(clock_ % 40), 1 + static_cast<int>(clock_ % 97)};
    point.spurs = counted(one.tree, point);
    point.share_tag = point.spurs / spurs_wanted / class_told(one.tree);
    person.add(point);
    seen.push_back(std::move(one));
  }

  // The tree's number as its count gives it: a random start, an even step.
  double counted(const Tree& tree, advice::CountPoint& point) {
    const int all = static_cast<int>(tree.limbs.size());
    if (share_.parts >= limbs_mean) return tree.spurs;
    const int step = std::max(1, static_cast<int>(std::lround(1.0 * all / share_.parts)));
    std::vector<int> drawn;
    double sum = 0;
    for (int j = static_cast<int>(random_.below(static_cast<std::uint64_t>(step))); j < all;
         j += step) {
      drawn.push_back(tree.limbs[static_cast<std::size_t>(j)]);
      sum += drawn.back();
    }
    point.add_more().limbs = static_cast<int>(drawn.size());
    point.add_more().limbs_in_tree = all;
    block_.limbs.add(drawn, all);
    return all * sum / static_cast<double>(drawn.size());
  }

  void add_score(int eye, int whose, const Seen& seen) {
    advice::ScorePoint score;
    score.at_ms = ++clock_;
    score.day = day_;
    score.eye = name(eye);
    score.person = name(whose);
    score.log_share = eyes_[static_cast<std::size_t>(eye)].score(seen.tree.spurs, random_);
    score.count = seen.count;
    block_.scores.push_back(score);
  }

  void walk_past(int i, const std::vector<Seen>& counted_trees) {
    const int looks = static_cast<int>(plan_.lead_seconds / seconds_look) / crew_size;
    const int tagged = std::min<int>(looks, static_cast<int>(counted_trees.size()));
    for (int n = 0; n < tagged; ++n) {
      add_score(crew_size, i, counted_trees[static_cast<std::size_t>(n)]);
    }
    for (int n = tagged; n < looks; ++n) {
      add_score(crew_size, i, {grow(true_levels[static_cast<std::size_t>(i)]), -1});
    }
  }

  // What twenty trees, scored and then counted in part on two mornings, teach of an eye.
  advice::EyeSums pairs_before(TrueEye eye) {
    advice::EyeSums sums;
    for (int morning = 0; morning < 2; ++morning) {
      eye.morning = morning_sd * random_.normal();
      double n = 0, x = 0, y = 0, xx = 0, xy = 0, yy = 0;
      for (; n < 10; n += 1) {
        const Tree tree = grow(1.0);
        const double score = eye.score(tree.spurs, random_);
        const double count = std::log(std::max(1.0, tree.spurs) / spurs_wanted);
        x += score;
        y += count;
        xx += score * score;
        xy += score * count;
        yy += count * count;
      }
      sums.add({n, n - 1, xx - x * x / n, xy - x * y / n, yy - y * y / n, 0});
    }
    return sums;
  }

  MinutesPlan plan_;
  stats::Share share_;
  base::Random random_;
  advice::BlockEvidence block_;
  advice::CountingBias exact_;
  advice::StandingInput input_;
  std::vector<TrueEye> eyes_;
  std::int64_t clock_ = 0;
  std::int64_t day_ = 0;
};

bool is_fair(VerdictKind told, double ratio) {
  const double t = advice::Settings{}.tolerance_fraction, off = ratio - 1;
  switch (told) {
    case VerdictKind::harder: return off > t / 2;
    case VerdictKind::lighter: return off < -t / 2;
    case VerdictKind::on_target: return std::fabs(off) < 1.5 * t;
    case VerdictKind::count_more: break;
  }
  return false;
}

// A pruner's true mean against that of the others.
double off_the_others(std::size_t i) {
  double logs = 0;
  for (std::size_t j = 0; j < true_levels.size(); ++j) {
    if (j != i) logs += std::log(true_levels[j]);
  }
  return true_levels[i] / std::exp(logs / (crew_size - 1)) - 1;
}

bool is_fair_against(AgainstCrewKind told, double off) {
  const double half = advice::Settings{}.tolerance_fraction / 2;
  return told == AgainstCrewKind::more ? off > half : off < -half;
}

struct Told {
  VerdictKind kind = VerdictKind::count_more;
  AgainstCrewKind against = AgainstCrewKind::open;
  int against_day = minute_days;
  int day = minute_days;
  double minutes = 0;
  bool wrong_way = false, change = false;
};

// Of the pruner, and of the lead's walk by head.
double minutes_a_day(const MinutesPlan& plan) {
  const bool walked = has_walk(plan.design) && plan.eye > 0;
  return (share_of(plan).cost + (walked ? plan.lead_seconds / crew_size : 0)) / 60;
}

void note_against(const std::vector<AgainstCrewKind>& now, int day, std::vector<Told>& told) {
  for (std::size_t i = 0; i < told.size(); ++i) {
    const bool tells = now[i] == AgainstCrewKind::more || now[i] == AgainstCrewKind::fewer;
    if (!tells || told[i].against_day < minute_days) continue;
    told[i].against = now[i];
    told[i].against_day = day;
  }
}

std::vector<Told> play(const MinutesPlan& plan, std::uint64_t seed) {
  Farm farm(plan, seed);
  std::vector<Told> told(crew_size);
  const double minutes = minutes_a_day(plan);
  for (int day = 0; day < minute_days; ++day) {
    farm.day(day, [&](const Farm& now, double part) {
      const auto verdicts = now.verdicts();
      for (std::size_t i = 0; i < told.size(); ++i) {
        const VerdictKind kind = verdicts[i];
        if (kind == VerdictKind::count_more) continue;
        const bool harder = kind == VerdictKind::harder, lighter = kind == VerdictKind::lighter;
        told[i].change = told[i].change || harder || lighter;
        told[i].wrong_way =
            told[i].wrong_way || (harder && true_levels[i] < 1) || (lighter && true_levels[i] > 1);
        if (told[i].kind != VerdictKind::count_more) continue;
        told[i].kind = kind;
        told[i].day = day;
        told[i].minutes = minutes * (day + part);
      }
    });
    note_against(farm.against(), day, told);
  }
  for (Told& one : told) {
    if (one.kind == VerdictKind::count_more) one.minutes = minutes * minute_days;
  }
  return told;
}

}  // namespace

std::string name_of(Design design) {
  switch (design) {
    case Design::whole_trees: return "whole trees";
    case Design::limbs: return "some limbs";
    case Design::limbs_scores: return "limbs and own scores";
    case Design::limbs_classes: return "limbs and size classes";
    case Design::limbs_walk: return "limbs and the lead's walk";
    case Design::scores_walk: break;
  }
  return "limbs, own scores and the walk";
}

stats::Share share_of(const MinutesPlan& plan) {
  const stats::ShareCosts costs{plan.seconds, seconds_tree, seconds_limb, seconds_whole,
                                seconds_look};
  const bool looks = scores_of_pruners(plan.design) && plan.eye >= advice::eye_correlation_needed;
  const stats::ShareSpread spread{
      plan.cv * plan.cv * (has_classes(plan.design) ? 1 - plan.size_share : 1),
      plan.limb_cv * plan.limb_cv, limbs_mean, advice::step_factor, looks ? plan.eye : 0};
  if (plan.design == Design::whole_trees) {
    const int units = static_cast<int>(plan.seconds / seconds_whole);
    stats::Share share{.units = units, .parts = limbs_mean, .cost = units * seconds_whole};
    share.variance = stats::variance_of(share, spread);
    return share;
  }
  return *stats::share_out(costs, spread, 2);
}

std::vector<LevelRates> simulate_minutes(const MinutesPlan& plan, int farms, std::uint64_t seed) {
  std::vector<LevelRates> rates(levels_told);
  base::Random seeds(seed);
  for (int farm = 0; farm < farms; ++farm) {
    const std::vector<Told> told = play(plan, seeds.next());
    for (std::size_t i = 0; i < told.size(); ++i) {
      const auto at = std::find(true_levels.begin(), true_levels.end(), true_levels[i]) -
                      true_levels.begin();
      LevelRates& level = rates[static_cast<std::size_t>(at)];
      level.ratio = true_levels[i];
      level.seen += 1;
      level.minutes_per_right += told[i].minutes;
      level.wrong_way += told[i].wrong_way;
      level.told_change += told[i].change;
      for (int day = told[i].day; day < minute_days; ++day) {
        level.right[static_cast<std::size_t>(day)] += is_fair(told[i].kind, true_levels[i]);
      }
      if (told[i].against_day == minute_days) continue;
      const bool fair = is_fair_against(told[i].against, off_the_others(i));
      level.against_wrong += !fair;
      for (int day = told[i].against_day; day < minute_days; ++day) {
        level.against[static_cast<std::size_t>(day)] += fair;
      }
    }
  }
  for (LevelRates& level : rates) {
    level.minutes_per_right /= std::max(1.0, level.right[minute_days - 1]);
    for (double& share : level.right) share /= level.seen;
    for (double& share : level.against) share /= level.seen;
    level.against_wrong /= level.seen;
    level.wrong_way /= level.seen;
    level.told_change /= level.seen;
  }
  return rates;
}

double minutes_bound(const MinutesPlan& plan, double ratio) {
  const stats::Share share = share_of(plan);
  const double trees = wald_bound({.cv = plan.cv}, ratio);
  const double tree_log_variance = std::log1p(plan.cv * plan.cv);
  double variance = share.variance;
  if (has_walk(plan.design) && plan.eye > 0) {
    // The lead's looks beside the counts, the eye's scale known.
    const double looks = plan.lead_seconds / seconds_look / crew_size;
    variance = 1 / (1 / variance + looks * plan.eye * plan.eye / (plan.cv * plan.cv));
  }
  return minutes_a_day(plan) * trees / tree_log_variance * variance;
}

double told_bound(const MinutesPlan& plan, double ratio, int days, std::uint64_t seed) {
  constexpr int pruners = 4000;
  const Known known;
  const double side = ratio > 1 ? 1 : -1;
  const double near = side * std::log1p(side * known.tolerance / 2);
  const double far = side * std::log1p(side * 1.5 * known.tolerance);
  const double level = side * std::log(ratio), line = std::log((1 - known.beta) / known.alpha);
  const stats::Share share = share_of(plan);
  const double looks = has_walk(plan.design) ? plan.lead_seconds / seconds_look / crew_size : 0;
  const double walk = looks * plan.eye * plan.eye / (plan.cv * plan.cv);
  base::Random random(seed);
  const auto step = [&](double information) {
    if (information <= 0) return 0.0;
    const double seen = level + random.normal() / std::sqrt(information);
    return (far - near) * (seen - (near + far) / 2) * information;
  };
  int told = 0;
  for (int person = 0; person < pruners; ++person) {
    double ratio_log = 0;
    bool over = false;
    for (int look = 0; look < days * (share.units + 1) && !over; ++look) {
      const bool walked = look % (share.units + 1) == share.units;
      ratio_log += step(walked ? walk : 1 / (share.variance * share.units));
      over = ratio_log >= line;
    }
    told += over;
  }
  return static_cast<double>(told) / pruners;
}

namespace {

// One ranked set: of the trees looked at, the one of that rank, with what its limbs leave open.
double ranked_tree(const MinutesPlan& plan, int set, int rank, double open, base::Random& random) {
  std::vector<std::pair<double, double>> trees;  // as seen, as it is
  for (int i = 0; i < set; ++i) {
    const double tree = plan.cv * random.normal();
    trees.push_back({plan.eye * tree / plan.cv +
                         std::sqrt(1 - plan.eye * plan.eye) * random.normal(), tree});
  }
  std::sort(trees.begin(), trees.end());
  return trees[static_cast<std::size_t>(rank)].second + std::sqrt(open) * random.normal();
}

}  // namespace

double ranked_variance(const MinutesPlan& plan, int set, std::uint64_t seed) {
  constexpr int days = 4000;
  base::Random random(seed);
  double best = stats::infinity;
  for (int parts = 1; parts <= limbs_mean; ++parts) {
    const double seconds = seconds_tree + parts * seconds_limb + set * seconds_look;
    const int cycles = static_cast<int>(plan.seconds / seconds) / set;  // balanced, or it is biased
    if (cycles == 0) continue;
    const double open =
        advice::part_variance(plan.limb_cv * plan.limb_cv, parts, limbs_mean);
    double squares = 0;
    for (int day = 0; day < days; ++day) {
      double sum = 0;
      for (int i = 0; i < cycles * set; ++i) {
        sum += ranked_tree(plan, set, i % set, open, random);
      }
      squares += sum * sum / (cycles * set) / (cycles * set);
    }
    best = std::min(best, squares / days);
  }
  return best;
}

}  // namespace nthtree::oc
