// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/looks.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "advice/internal/current.h"
#include "advice/known/limbs.h"

namespace nthtree::advice {
namespace {

// The count that a score is a pair with; null where its tree was not counted, or is bare.
const CountPoint* pair_of(const BlockEvidence& block, const ScorePoint& score) {
  const auto found = block.people.find(score.person);
  if (found == block.people.end() || score.count < 0) return nullptr;
  const CountPoint& count = found->second.counts[static_cast<std::size_t>(score.count)];
  return found->second.sets_aside(count) ? nullptr : &count;
}

double log_share(const CountPoint& count, double factor) {
  return std::log(std::max(count.share(factor), least_share));
}

// How often advice to change had been given by then: counts and looks between belong together.
int stretch_at(const PersonEvidence& person, std::int64_t at_ms) {
  int stretch = 0;
  for (const AdvicePoint& advice : person.advice) {
    stretch += advice.at_ms <= at_ms && advice.direction != ledger::Direction::on_target;
  }
  return stretch;
}

// The information of counts and looks about (level, scale), the level as a share of `around` less
// one; the scale is integrated out at the end.
class Joint {
 public:
  Joint(double trees, double noise) : trees_(trees), noise_(noise) {}

  void add_pair(double level, double look, double open) {
    const double b = trees_, det = (b + open) * (b + noise_) - b * b;
    const double a = (b + noise_) / det, h = -b / det, d = (b + open) / det;
    level_level_ += a + 2 * h + d;
    level_scale_ += h + d;
    scale_scale_ += d;
    level_sum_ += a * level + h * look + h * level + d * look;
    scale_sum_ += h * level + d * look;
    counted_ += 1 / (b + open);
    counted_sum_ += level / (b + open);
  }
  void add_look(double look) {
    const double weight = 1 / (trees_ + noise_);
    level_level_ += weight;
    level_scale_ += weight;
    scale_scale_ += weight;
    level_sum_ += weight * look;
    scale_sum_ += weight * look;
  }
  void know_scale(double scale, double weight) {
    scale_scale_ += weight;
    scale_sum_ += weight * scale;
  }
  // Of the level beyond what the counts of the pairs say by themselves.
  double gained() const { return marginal() - counted_; }
  double level() const {
    const double sum = level_sum_ - level_scale_ * scale_sum_ / scale_scale_;
    return (sum - counted_sum_) / gained();
  }

 private:
  double marginal() const { return level_level_ - level_scale_ * level_scale_ / scale_scale_; }

  double trees_, noise_;
  double level_level_ = 0, level_scale_ = 0, scale_scale_ = 0;
  double level_sum_ = 0, scale_sum_ = 0;
  double counted_ = 0, counted_sum_ = 0;
};

// One eye's looks at one person's trees in one stretch of a day.
struct Group {
  std::vector<const ScorePoint*> paired, only_seen;
  std::int64_t last_ms = 0;
};
using GroupKey = std::tuple<std::string, std::int64_t, int>;

std::map<GroupKey, Group> groups_of(const BlockEvidence& block, const PersonEvidence& evidence,
                                    const std::vector<const ScorePoint*>& scores) {
  std::map<GroupKey, Group> groups;
  for (const ScorePoint* score : scores) {
    const int stretch = stretch_at(evidence, score->at_ms);
    const CountPoint* count = pair_of(block, *score);
    // A tree of another day or stretch says where the hands stood then: it tells of the eye alone.
    const bool elsewhere = count && (count->day != score->day ||
                                     stretch_at(evidence, count->at_ms) != stretch);
    if (elsewhere || (score->count >= 0 && !count)) continue;
    Group& group = groups[{score->eye, score->day, stretch}];
    (count ? group.paired : group.only_seen).push_back(score);
    group.last_ms = std::max({group.last_ms, score->at_ms, count ? count->at_ms : 0});
  }
  return groups;
}

double mean_log_look(const Group& group, double slope) {
  double sum = 0;
  for (const ScorePoint* score : group.only_seen) sum += score->log_share / slope;
  return sum / static_cast<double>(std::max<std::size_t>(1, group.only_seen.size()));
}

// The point of the scale around which all is taken as linear.
double around_of(const Group& group, const BlockEvidence& here, double factor, double slope,
                 const Morning::Part& known, double half) {
  double sum = 0;
  for (const ScorePoint* score : group.paired) sum += pair_of(here, *score)->share(factor);
  if (!group.paired.empty()) {
    return std::max(sum / static_cast<double>(group.paired.size()), least_share);
  }
  return std::exp(std::clamp(mean_log_look(group, slope) - known.scale + half, -3.0, 3.0));
}

}  // namespace

Morning::Part Morning::all_but(const std::string& person) const {
  Part sum;
  for (const auto& [whose, part] : by_person) {
    if (whose == person) continue;
    sum.weight += part.weight;
    sum.scale += part.weight * part.scale;
    sum.centre += part.weight * part.centre;
  }
  if (sum.weight > 0) {
    sum.scale /= sum.weight;
    sum.centre /= sum.weight;
  }
  return sum;
}

EyeTable eye_sums(const BlockEvidence& block, const CountingBias& bias, double limb_variance) {
  struct Open {
    double n = 0, x = 0, y = 0, xx = 0, xy = 0, yy = 0, errors = 0;
  };
  std::map<std::pair<std::string, std::int64_t>, Open> mornings;
  for (const ScorePoint& score : block.scores) {
    const CountPoint* count = pair_of(block, score);
    if (!count) continue;
    const double x = score.log_share;
    const double y = log_share(*count, std::exp(bias.of(score.person).log_mean));
    Open& open = mornings[{score.eye, score.day}];
    open.n += 1;
    open.x += x;
    open.y += y;
    open.xx += x * x;
    open.xy += x * y;
    open.yy += y * y;
    open.errors += open_of(*count, limb_variance);
  }
  EyeTable eyes;
  for (const auto& [key, open] : mornings) {
    EyeSums& sums = eyes[key.first];
    sums.pairs += open.n;
    sums.df += open.n - 1;
    sums.scores += open.xx - open.x * open.x / open.n;
    sums.both += open.xy - open.x * open.y / open.n;
    sums.counts += open.yy - open.y * open.y / open.n;
    sums.errors += open.errors * (open.n - 1) / open.n;
  }
  return eyes;
}

Looks::Looks(const BlockEvidence& block, const CountingBias& bias, double limb_variance,
             EyeModel eyes)
    : block_(block), limb_variance_(limb_variance), eyes_(std::move(eyes)) {
  for (const ScorePoint& score : block.scores) {
    const Eye eye = eyes_.of(score.eye);
    if (!eye.counts) continue;
    by_person_[score.person].push_back(&score);
    const CountPoint* count = pair_of(block, score);
    if (!count) continue;
    const double open = open_of(*count, limb_variance);
    const double y = log_share(*count, std::exp(bias.of(score.person).log_mean));
    Morning::Part& part = mornings_[{score.eye, score.day}].by_person[score.person];
    const double weight = 1 / (eye.noise() + open), sum = part.weight + weight;
    // The logarithm of a count that scatters lies half its variance low.
    const double scale = score.log_share / eye.slope - y - open / 2;
    part.scale += (scale - part.scale) * weight / sum;
    part.centre += (y - part.centre) * weight / sum;
    part.weight = sum;
  }
}

std::vector<CountPoint> Looks::at(const std::string& person, double bias_factor,
                                  const Spread& spread) const {
  std::vector<CountPoint> looks;
  const auto found = block_.people.find(person);
  const auto seen = by_person_.find(person);
  if (found == block_.people.end() || seen == by_person_.end()) return looks;
  const double trees = spread.variance * spread.inflation(), half = spread.variance / 2;
  for (const auto& [key, group] : groups_of(block_, found->second, seen->second)) {
    const auto& [name, day, stretch] = key;
    const Eye eye = eyes_.of(name);
    const auto morning = mornings_.find({name, day});
    const Morning::Part known =
        morning == mornings_.end() ? Morning::Part{} : morning->second.all_but(person);
    if (group.paired.empty() && known.weight <= 0) continue;
    const double around = around_of(group, block_, bias_factor, eye.slope, known, half);
    // A tree's logarithm lies half a variance below that of the mean.
    const double low = half - std::log(around);
    Joint joint(trees, eye.noise());
    for (const ScorePoint* score : group.paired) {
      const CountPoint* count = pair_of(block_, *score);
      joint.add_pair(count->share(bias_factor) / around - 1, score->log_share / eye.slope + low,
                     open_of(*count, limb_variance_));
    }
    for (const ScorePoint* score : group.only_seen) {
      joint.add_look(score->log_share / eye.slope + low);
    }
    if (known.weight > 0) joint.know_scale(known.scale, known.weight);
    if (!(joint.gained() > 1e-6)) continue;
    const double share = around * std::max(1 + joint.level(), least_share);
    // A slope known in part turns about where the eye was calibrated.
    const double turned = known.weight > 0
        ? (std::log(share) - known.centre) * eye.slope_sd / eye.slope : 0;
    CountPoint look;
    look.at_ms = group.last_ms;
    look.day = static_cast<int>(day);
    look.share_tag = share / bias_factor;
    look.add_more().look_variance = 1 / joint.gained() + turned * turned;
    look.add_more().looks = static_cast<int>(group.paired.size() + group.only_seen.size());
    looks.push_back(std::move(look));
  }
  std::stable_sort(looks.begin(), looks.end(),
                   [](const CountPoint& a, const CountPoint& b) { return a.at_ms < b.at_ms; });
  return looks;
}

}  // namespace nthtree::advice
