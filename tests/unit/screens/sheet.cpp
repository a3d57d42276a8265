// SPDX-License-Identifier: Apache-2.0
//
// The contact sheet: every screen in one picture, or each in a file of its own.
//
//   screens_sheet OUT --language es --width 360 --height 740 --text 1.6 --theme dusk [--each]
//                 [--only NAME[,NAME]] [--ratio 2] [--left]
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>

#include "unit/screens/pixels.h"
#include "unit/screens/stage.h"
#include "widgets/language.h"
#include "widgets/theme.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;

struct Wish {
  std::string out, language = "en", only;
  int width = 360, height = 740, ratio = 1;
  float text = 1;
  bool dusk = false, each = false, left = false;
};

Wish read_wish(int count, char** words) {
  Wish wish;
  for (int i = 1; i < count; ++i) {
    const std::string word = words[i];
    const char* next = i + 1 < count ? words[i + 1] : "";
    if (word == "--each") wish.each = true;
    else if (word == "--left") wish.left = true;
    else if (word.rfind("--", 0) != 0) wish.out = word;
    else {
      if (word == "--language") wish.language = next;
      if (word == "--only") wish.only = std::string(",") + next + ",";
      if (word == "--width") wish.width = std::atoi(next);
      if (word == "--height") wish.height = std::atoi(next);
      if (word == "--ratio") wish.ratio = std::atoi(next);
      if (word == "--text") wish.text = static_cast<float>(std::atof(next));
      if (word == "--theme") wish.dusk = std::strcmp(next, "dusk") == 0;
      ++i;
    }
  }
  return wish;
}

stage::Picture picture_of(const stage::Scene& scene, const Wish& wish) {
  AdviceCache cache;
  widgets::Look look;
  look.dusk = wish.dusk;
  look.text_scale = wish.text;
  look.left_handed = wish.left;
  widgets::HeadlessFrame frame(stage::fonts(),
                               {.width = static_cast<float>(wish.width),
                                .height = static_cast<float>(wish.height), .look = look,
                                .pixel_ratio = static_cast<float>(wish.ratio)});
  frame.draw([&](widgets::Ui& ui) { draw(ui, *scene.season, scene.session, cache); });
  frame.draw([&](widgets::Ui& ui) { draw(ui, *scene.season, scene.session, cache); });
  return stage::paint(frame.ui(), wish.width, wish.height, wish.ratio,
                      frame.ui().theme().page.back);
}

}  // namespace

int main(int count, char** words) {
  const Wish wish = read_wish(count, words);
  if (wish.out.empty()) {
    std::fprintf(stderr, "usage: screens_sheet OUT.png [--language es] [--width 360] …\n");
    return 2;
  }
  stage::languages();
  widgets::choose_language(wish.language);
  std::vector<stage::Picture> pictures;
  for (const stage::Scene& scene : stage::scenes()) {
    if (!wish.only.empty() && wish.only.find("," + scene.name + ",") == std::string::npos) continue;
    pictures.push_back(picture_of(scene, wish));
    if (wish.each && !stage::write_png(wish.out + "/" + scene.name + ".png", pictures.back())) {
      std::fprintf(stderr, "cannot write into %s\n", wish.out.c_str());
      return 1;
    }
  }
  if (wish.each || pictures.empty()) return 0;
  const int gap = 12, columns = std::max(1, 3000 / (pictures[0].width + gap));
  const int lines = (static_cast<int>(pictures.size()) + columns - 1) / columns;
  const int across = std::min(columns, static_cast<int>(pictures.size()));
  stage::Picture sheet{across * (pictures[0].width + gap) + gap,
                       lines * (pictures[0].height + gap) + gap, {}};
  sheet.pixels.assign(static_cast<std::size_t>(sheet.width) *
                          static_cast<std::size_t>(sheet.height),
                      0xFF707070u);
  for (std::size_t i = 0; i < pictures.size(); ++i) {
    const int column = static_cast<int>(i) % columns, line = static_cast<int>(i) / columns;
    stage::place(sheet, pictures[i], gap + column * (pictures[0].width + gap),
                 gap + line * (pictures[0].height + gap));
  }
  return stage::write_png(wish.out, sheet) ? 0 : 1;
}
