// SPDX-License-Identifier: Apache-2.0
#include "widgets/fonts.h"

#include <imgui.h>
#include <imgui_internal.h>

#include <algorithm>
#include <cmath>
#include <cstring>

namespace nthtree::widgets {
namespace {

struct TypeSpec {
  float px;           // at 100 %
  float growth;       // how much of the text scale it follows: figures are large already
  bool bold;
  bool figures_only;
};
constexpr TypeSpec type_specs[type_count] = {
    {15.5f, 1.0f, false, false},  // small
    {18.0f, 1.0f, false, false},  // body
    {18.0f, 1.0f, true, false},   // strong
    {21.5f, 0.8f, true, false},   // title
    {34.0f, 0.6f, true, true},    // figure
    {84.0f, 0.3f, true, true},    // huge
    {132.0f, 0.0f, true, true},   // giant
};
constexpr const char* figure_letters = "0123456789.,:/()+-%±×−–≈<>\u00a0 ";
constexpr float line_height = 1.32f;  // of the letter size

// Reads one code point and moves on; bytes that are no UTF-8 give U+FFFD.
unsigned next_letter(const char*& at, const char* end) {
  const unsigned char lead = static_cast<unsigned char>(*at++);
  if (lead < 0x80) return lead;
  const int more = lead >= 0xF0 ? 3 : lead >= 0xE0 ? 2 : lead >= 0xC0 ? 1 : 0;
  unsigned letter = lead & (0x3Fu >> more);
  for (int i = 0; i < more; ++i) {
    if (at >= end || (static_cast<unsigned char>(*at) & 0xC0) != 0x80) return 0xFFFD;
    letter = (letter << 6) | (static_cast<unsigned char>(*at++) & 0x3F);
  }
  return more ? letter : 0xFFFD;
}

// What the typefaces may have (tools/third_party/subset_font.py); a mark of direction is no letter.
bool may_have(unsigned letter) {
  const bool mark = letter >= 0x2028 && letter <= 0x206F && letter != 0x2039 && letter != 0x203A;
  return letter < 0x180 || (letter >= 0x2010 && letter < 0x2800 && !mark);
}

// Of 2384 units between the highest and the lowest line, which Dear ImGui calls the size, the
// letter has 2048 (DejaVu, tables head and hhea).
constexpr float letter_share = 2048.0f / 2384.0f;

bool is_ascii(std::string_view text) {
  for (char c : text) {
    if (static_cast<unsigned char>(c) >= 0x80) return false;
  }
  return true;
}

}  // namespace

Fonts::Fonts(std::string regular, std::string bold)
    : regular_(std::move(regular)), bold_(std::move(bold)) {}
Fonts::~Fonts() = default;

bool Fonts::build(float pixel_ratio, float text_scale, std::string_view letters) {
  pixel_ratio_ = pixel_ratio;
  text_scale_ = text_scale;
  letters_ = letters;
  return rebuild();
}

void Fonts::take(std::string regular, std::string bold) {
  regular_ = std::move(regular);
  bold_ = std::move(bold);
  wants_rebuild_ = wants_rebuild_ || !refused_.empty();
  refused_.clear();
}

bool Fonts::rebuild() {
  if (regular_.size() < 64 || bold_.size() < 64) return false;
  auto atlas = std::make_unique<ImFontAtlas>();
  atlas->Flags |= ImFontAtlasFlags_NoMouseCursors;
  ImVector<ImWchar> text_ranges, figure_ranges;
  ImFontGlyphRangesBuilder text_letters, figures;
  for (unsigned c = 0x20; c < 0x7F; ++c) text_letters.AddChar(static_cast<ImWchar>(c));
  text_letters.AddText(letters_.c_str());
  text_letters.AddText("…−–—±×≈≥≤→←°\u00a0⟦⟧");
  for (unsigned c : wanted_) text_letters.AddChar(static_cast<ImWchar>(c));
  figures.AddText(figure_letters);
  text_letters.BuildRanges(&text_ranges);
  figures.BuildRanges(&figure_ranges);
  static constexpr ImWchar digit_ranges[] = {'0', '9', 0};

  for (int i = 0; i < type_count; ++i) {
    const TypeSpec& spec = type_specs[i];
    pixels_[i] = std::round(spec.px * (1 + (text_scale_ - 1) * spec.growth));
    ImFontConfig config;
    config.OversampleH = config.OversampleV = 1;  // the texture is at device pixels already
    config.PixelSnapH = true;
    config.FontDataOwnedByAtlas = false;
    std::string& bytes = spec.bold ? bold_ : regular_;
    fonts_[i] = atlas->AddFontFromMemoryTTF(
        bytes.data(), static_cast<int>(bytes.size()), std::round(pixels_[i] * pixel_ratio_),
        &config, i == static_cast<int>(Type::giant) ? digit_ranges
                 : spec.figures_only                ? figure_ranges.Data
                                                    : text_ranges.Data);
    if (!fonts_[i]) return false;
  }
  // Not ImFontAtlas::Build, which links a typeface of its own (12 KB that do not shrink).
  if (!ImFontAtlasGetBuilderForStbTruetype()->FontBuilder_Build(atlas.get())) return false;
  held_.clear();
  for (const ImFontGlyph& glyph : fonts_[1]->Glyphs) held_.insert(glyph.Codepoint);
  // What the file itself lacks is not asked for again.
  for (unsigned c : wanted_) {
    if (!held_.count(c)) refused_.insert(c);
  }
  atlas_ = std::move(atlas);
  wants_rebuild_ = false;
  ++version_;
  return true;
}

void Fonts::notice(std::string_view text) const {
  if (is_ascii(text)) return;
  const char* at = text.data();
  const char* end = at + text.size();
  while (at < end) {
    const unsigned letter = next_letter(at, end);
    if (letter < 0x80 || !may_have(letter)) continue;
    if (held_.count(letter) || refused_.count(letter)) continue;
    if (wanted_.insert(letter).second) wants_rebuild_ = true;
  }
}

bool Fonts::is_foreign(std::string_view text) const {
  if (!any_script_.writer() || is_ascii(text)) return false;
  const char* at = text.data();
  const char* end = at + text.size();
  while (at < end) {
    const unsigned letter = next_letter(at, end);
    if (!may_have(letter) || refused_.count(letter)) return true;
  }
  return false;
}

ScriptLine Fonts::script_line(Type type, std::string_view text) const {
  return {text, font(type)->FontSize * letter_share, type_specs[static_cast<int>(type)].bold};
}

ImFont* Fonts::font(Type type) const { return fonts_[static_cast<int>(type)]; }
float Fonts::pixels(Type type) const { return pixels_[static_cast<int>(type)]; }
float Fonts::height(Type type) const {
  return std::round(pixels(type) * (type >= Type::figure ? 1.12f : line_height));
}

Size Fonts::measure(Type type, std::string_view text) const {
  if (type < Type::figure) notice(text);
  if (is_foreign(text)) {
    return {std::ceil(any_script_.width(script_line(type, text)) / pixel_ratio_), height(type)};
  }
  const ImVec2 size = font(type)->CalcTextSizeA(pixels(type), 1e9f, 0, text.data(),
                                                text.data() + text.size());
  return {std::ceil(size.x), height(type)};
}

const Lines& Fonts::wrap(Type type, std::string_view text, float width) const {
  Lines& out = wrapped_;
  out.lines.clear();
  out.size = {};
  out.word_broken = false;
  const float line = height(type);
  std::size_t start = 0;
  while (start <= text.size()) {
    const std::size_t newline = std::min(text.find('\n', start), text.size());
    std::string_view rest = text.substr(start, newline - start);
    do {
      // The longest run of words that fits.
      std::size_t fits = 0, at = 0;
      while (at < rest.size()) {
        const std::size_t space = std::min(rest.find(' ', at), rest.size());
        if (measure(type, rest.substr(0, space)).w > width) break;
        fits = space;
        at = space + 1;
      }
      if (fits == 0 && !rest.empty()) {  // one word alone is too wide: cut it
        const std::size_t word = std::min(rest.find(' '), rest.size());
        std::size_t cut = 0;
        const char* p = rest.data();
        while (p < rest.data() + word) {
          const char* before = p;
          next_letter(p, rest.data() + word);
          const std::size_t upto = static_cast<std::size_t>(p - rest.data());
          if (cut > 0 && measure(type, rest.substr(0, upto)).w > width) {
            p = before;
            break;
          }
          cut = upto;
        }
        fits = cut;
        out.word_broken = cut < word;
        if (cut == word) fits = word;
      }
      const std::string_view taken = rest.substr(0, fits);
      out.lines.push_back(taken);
      out.size.w = std::max(out.size.w, measure(type, taken).w);
      rest.remove_prefix(fits);
      while (!rest.empty() && rest.front() == ' ') rest.remove_prefix(1);
    } while (!rest.empty());
    start = newline + 1;
  }
  out.size.h = line * static_cast<float>(out.lines.size());
  return out;
}

std::string Fonts::shorten(Type type, std::string_view text, float width) const {
  if (measure(type, text).w <= width) return std::string(text);
  std::string out;
  const char* at = text.data();
  const char* end = at + text.size();
  while (at < end) {
    const char* before = at;
    next_letter(at, end);
    const std::string longer = out + std::string(before, at) + "…";
    if (measure(type, longer).w > width) break;
    out.append(before, at);
  }
  return out + "…";
}

}  // namespace nthtree::widgets
