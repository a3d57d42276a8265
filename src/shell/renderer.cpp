// SPDX-License-Identifier: Apache-2.0
#include "shell/renderer.h"

#include <GLES2/gl2.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstring>
#include <iterator>
#include <utility>

#include "widgets/painter.h"

namespace nthtree::shell {
namespace {

constexpr char vertex_source[] = R"(
attribute vec2 position;
attribute vec2 uv;
attribute vec4 color;
attribute vec2 scale;
varying vec2 at;
varying vec4 ink;
void main() {
  at = uv;
  ink = color;
  gl_Position = vec4(position * scale + vec2(-1.0, 1.0), 0.0, 1.0);
})";

constexpr char fragment_source[] = R"(
precision mediump float;
varying vec2 at;
varying vec4 ink;
uniform sampler2D letters;
void main() {
  vec4 letter = texture2D(letters, at);  // black, or of its own colour on black ink
  gl_FragColor = vec4(ink.rgb + letter.rgb, ink.a * letter.a);
})";

unsigned compile(unsigned kind, const char* source) {
  const unsigned shader = glCreateShader(kind);
  glShaderSource(shader, 1, &source, nullptr);
  glCompileShader(shader);
  return shader;
}

// The texture that is bound: never repeated, and of any size.
void set_filters() {
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_LINEAR);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_LINEAR);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
}

const void* offset(std::size_t bytes) { return reinterpret_cast<const void*>(bytes); }

template <typename T>
bool same_bytes(const std::vector<T>& a, const std::vector<T>& b) {
  return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(T)) == 0;
}

constexpr std::size_t vertices_most = 65536;  // that an index of two bytes can tell apart
static_assert(sizeof(ImDrawIdx) == 2);

// Where the attributes stand is said rather than asked: each question waits for the driver. So the
// scale, one for all corners, is one of them too: a uniform would be asked for.
enum Attribute : unsigned { at_position, at_uv, at_color, at_scale };

}  // namespace

bool Renderer::Frame::operator==(const Frame& other) const {
  return width == other.width && height == other.height && scale_x == other.scale_x &&
         scale_y == other.scale_y && ground == other.ground && letters == other.letters &&
         scripts == other.scripts && pieces == other.pieces &&
         same_bytes(indices, other.indices) && same_bytes(vertices, other.vertices);
}

void Renderer::make_program() {
  program_ = glCreateProgram();
  const unsigned vertex = compile(GL_VERTEX_SHADER, vertex_source);
  const unsigned fragment = compile(GL_FRAGMENT_SHADER, fragment_source);
  glAttachShader(program_, vertex);
  glAttachShader(program_, fragment);
  glBindAttribLocation(program_, at_position, "position");
  glBindAttribLocation(program_, at_uv, "uv");
  glBindAttribLocation(program_, at_color, "color");
  glBindAttribLocation(program_, at_scale, "scale");
  glLinkProgram(program_);
  glDeleteShader(vertex);
  glDeleteShader(fragment);
}

// Nobody else draws on this canvas, so all of this stands until the context is lost. To use a
// program is to wait until the driver has made it: other work comes between.
void Renderer::use_program() {
  in_use_ = true;
  unsigned buffers[2] = {};
  glGenBuffers(2, buffers);
  glBindBuffer(GL_ARRAY_BUFFER, buffers[0]);
  glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, buffers[1]);
  glGenTextures(2, textures_);
  glActiveTexture(GL_TEXTURE0);
  glUseProgram(program_);  // its texture is the first one, as nobody said otherwise
  glEnable(GL_BLEND);
  glBlendFunc(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);
  for (unsigned at : {at_position, at_uv, at_color}) glEnableVertexAttribArray(at);
  point_at(0);
}

void Renderer::restore() {
  make_program();
  in_use_ = false;
  letters_version_ = scripts_version_ = 0;
  forget();
}

bool Renderer::works() const {
  int linked = 0;
  glGetProgramiv(program_, GL_LINK_STATUS, &linked);
  return linked != 0;
}

void Renderer::load_letters(widgets::Fonts& fonts) {
  if (letters_version_ == fonts.version()) return;
  const ImFontAtlas& atlas = *fonts.atlas();
  glBindTexture(GL_TEXTURE_2D, textures_[0]);
  set_filters();
  glPixelStorei(GL_UNPACK_ALIGNMENT, 1);
  // The texture itself: GetTexDataAsAlpha8 would link what Fonts leaves out.
  glTexImage2D(GL_TEXTURE_2D, 0, GL_ALPHA, atlas.TexWidth, atlas.TexHeight, 0, GL_ALPHA,
               GL_UNSIGNED_BYTE, atlas.TexPixelsAlpha8);
  letters_version_ = fonts.version();
}

void Renderer::load_scripts(widgets::AnyScript& scripts) {
  if (scripts_version_ == scripts.version()) return;
  glBindTexture(GL_TEXTURE_2D, textures_[1]);
  set_filters();
  scripts.writer()->load_script_picture();
  scripts_version_ = scripts.version();
}

// Where all vertices of a frame can be told apart by one index they are one list; what comes beyond
// is pointed at anew.
void Renderer::gather(const ImDrawList& list, float pixel_ratio, Frame& frame) {
  const std::size_t base = frame.vertices.size();
  frame.vertices.insert(frame.vertices.end(), list.VtxBuffer.begin(), list.VtxBuffer.end());
  const bool joins = frame.vertices.size() <= vertices_most;
  for (const ImDrawCmd& command : list.CmdBuffer) {
    const float left = command.ClipRect.x * pixel_ratio, top = command.ClipRect.y * pixel_ratio;
    Piece piece;
    piece.width = static_cast<int>(std::lround(command.ClipRect.z * pixel_ratio - left));
    piece.height = static_cast<int>(std::lround(command.ClipRect.w * pixel_ratio - top));
    if (command.ElemCount == 0 || piece.width <= 0 || piece.height <= 0) continue;
    piece.x = static_cast<int>(left);
    piece.y = frame.height - static_cast<int>(std::lround(top)) - piece.height;
    const auto texture = reinterpret_cast<std::uintptr_t>(command.TextureId);
    piece.texture = texture == widgets::second_texture ? 1 : 0;
    piece.first_vertex = joins ? 0 : base + command.VtxOffset;
    piece.first_index = frame.indices.size();
    piece.indices = command.ElemCount;
    const std::size_t shift = joins ? base + command.VtxOffset : 0;
    const ImDrawIdx* const from = list.IdxBuffer.Data + command.IdxOffset;
    std::transform(from, from + command.ElemCount, std::back_inserter(frame.indices),
                   [&](ImDrawIdx index) { return static_cast<ImDrawIdx>(index + shift); });
    frame.pieces.push_back(piece);
  }
}

void Renderer::point_at(std::size_t first_vertex) {
  const std::size_t first = first_vertex * sizeof(ImDrawVert);
  const int stride = sizeof(ImDrawVert);
  glVertexAttribPointer(at_position, 2, GL_FLOAT, GL_FALSE, stride,
                        offset(first + offsetof(ImDrawVert, pos)));
  glVertexAttribPointer(at_uv, 2, GL_FLOAT, GL_FALSE, stride,
                        offset(first + offsetof(ImDrawVert, uv)));
  glVertexAttribPointer(at_color, 4, GL_UNSIGNED_BYTE, GL_TRUE, stride,
                        offset(first + offsetof(ImDrawVert, col)));
  first_vertex_ = first_vertex;
}

void Renderer::put(const Frame& frame) {
  const auto bytes = [](const auto& list) {
    return static_cast<GLsizeiptr>(list.size() * sizeof(list[0]));
  };
  glBufferData(GL_ARRAY_BUFFER, bytes(frame.vertices), frame.vertices.data(), GL_STREAM_DRAW);
  glBufferData(GL_ELEMENT_ARRAY_BUFFER, bytes(frame.indices), frame.indices.data(),
               GL_STREAM_DRAW);
  unsigned texture = 2;
  for (const Piece& piece : frame.pieces) {
    glScissor(piece.x, piece.y, piece.width, piece.height);
    if (texture != piece.texture) glBindTexture(GL_TEXTURE_2D, textures_[piece.texture]);
    texture = piece.texture;
    if (first_vertex_ != piece.first_vertex) point_at(piece.first_vertex);
    glDrawElements(GL_TRIANGLES, static_cast<int>(piece.indices), GL_UNSIGNED_SHORT,
                   offset(piece.first_index * sizeof(ImDrawIdx)));
  }
}

void Renderer::draw(const std::vector<ImDrawList*>& lists, widgets::Fonts& fonts, float width,
                    float height, float pixel_ratio, std::uint32_t ground) {
  next_.width = static_cast<int>(std::lround(width * pixel_ratio));
  next_.height = static_cast<int>(std::lround(height * pixel_ratio));
  if (next_.width <= 0 || next_.height <= 0) return;
  next_.scale_x = 2 / width;
  next_.scale_y = -2 / height;
  next_.ground = ground;
  next_.letters = fonts.version();
  next_.scripts = fonts.any_script().version();
  next_.vertices.clear();
  next_.indices.clear();
  next_.pieces.clear();
  for (const ImDrawList* list : lists) gather(*list, pixel_ratio, next_);
  if (next_ == drawn_) return;
  if (!in_use_) use_program();
  load_letters(fonts);
  load_scripts(fonts.any_script());
  glViewport(0, 0, next_.width, next_.height);
  glVertexAttrib2f(at_scale, next_.scale_x, next_.scale_y);
  glDisable(GL_SCISSOR_TEST);
  const auto part = [&](int shift) { return static_cast<float>(ground >> shift & 0xFF) / 255; };
  glClearColor(part(0), part(8), part(16), 1);
  glClear(GL_COLOR_BUFFER_BIT);
  glEnable(GL_SCISSOR_TEST);
  put(next_);
  std::swap(drawn_, next_);
}

}  // namespace nthtree::shell
