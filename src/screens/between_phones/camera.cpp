// SPDX-License-Identifier: Apache-2.0
#include "screens/between_phones/camera.h"

#include <algorithm>

#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr std::size_t missing_shown = 8;
constexpr float below_picture = 170;  // progress and what is missing stay in view
constexpr float height_min = 200;

std::string list_of(const std::vector<int>& numbers) {
  std::string text;
  for (std::size_t i = 0; i < std::min(numbers.size(), missing_shown); ++i) {
    text += (i > 0 ? ", " : "") + number(numbers[i]);
  }
  return numbers.size() > missing_shown ? text + " …" : text;
}

void chain_progress(Frame& frame) {
  const Camera& camera = frame.session.exchange.camera;
  if (camera.count == 0) {
    paragraph(frame.ui, tr("camera.hint"));
    return;
  }
  progress(frame.ui, "chain",
           tr("camera.progress", {{"n", number(camera.have)}, {"all", number(camera.count)}}),
           static_cast<float>(camera.have) / static_cast<float>(camera.count));
  if (!camera.missing.empty()) {
    paragraph(frame.ui, tr("camera.missing", {{"list", list_of(camera.missing)}}));
  }
}

const char* trouble_key(const std::string& trouble) {
  if (trouble == "refused") return "camera.refused";
  if (trouble == "none") return "camera.none";
  if (trouble == "busy") return "camera.busy";
  if (trouble == "other_code") return "camera.other_code";
  if (trouble == "other_farm_tag") return "camera.other_farm_tag";
  if (trouble == "no_such_tree") return "camera.no_such_tree";
  if (trouble == "damaged") return "camera.damaged_chain";
  return "camera.failed";
}

void trouble_notice(Frame& frame) {
  const Camera& camera = frame.session.exchange.camera;
  if (camera.trouble.empty()) return;
  notice(frame.ui, {.id = "camera_trouble", .tone = Tone::caution,
                    .text = tr(trouble_key(camera.trouble)), .live = true});
}

}  // namespace

void camera_here(Frame& frame) {
  const Camera& camera = frame.session.exchange.camera;
  if (!camera.on) return;
  const auto picture = [&] {
    viewfinder(frame.ui, {.id = "viewfinder",
                          .label = tr("camera.picture"),
                          .waiting = tr("camera.starting"),
                          .height = std::clamp(frame.ui.room() - below_picture, height_min,
                                               std::max(height_min, frame.ui.width()))});
  };
  const auto words = [&] {
    trouble_notice(frame);  // below the picture, which would jump away under the hand
    chain_progress(frame);
    if (camera.damaged > 0) {
      small_print(frame.ui, tr_count("camera.damaged", camera.damaged));
    }
  };
  side_by_side(frame, picture, words);
}

void camera_trouble(Frame& frame) {
  if (!frame.session.exchange.camera.on) trouble_notice(frame);
}

}  // namespace nthtree::screens
