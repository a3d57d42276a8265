// SPDX-License-Identifier: Apache-2.0
#include "shell/renderer.h"

#include <GLES2/gl2.h>
#include <imgui.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>

#include "widgets/painter.h"

namespace nthtree::shell {
namespace {

constexpr char vertex_source[] = R"(
attribute vec2 position;
attribute vec2 uv;
attribute vec4 color;
uniform vec2 scale;
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

}  // namespace

bool Renderer::restore() {
  program_ = glCreateProgram();
  const unsigned vertex = compile(GL_VERTEX_SHADER, vertex_source);
  const unsigned fragment = compile(GL_FRAGMENT_SHADER, fragment_source);
  glAttachShader(program_, vertex);
  glAttachShader(program_, fragment);
  glLinkProgram(program_);
  int linked = 0;
  glGetProgramiv(program_, GL_LINK_STATUS, &linked);
  glDeleteShader(vertex);
  glDeleteShader(fragment);
  if (!linked) return false;
  at_position_ = glGetAttribLocation(program_, "position");
  at_uv_ = glGetAttribLocation(program_, "uv");
  at_color_ = glGetAttribLocation(program_, "color");
  at_scale_ = glGetUniformLocation(program_, "scale");
  at_texture_ = glGetUniformLocation(program_, "letters");
  unsigned buffers[2] = {};
  glGenBuffers(2, buffers);
  vertices_ = buffers[0];
  indices_ = buffers[1];
  glGenTextures(2, textures_);
  letters_version_ = scripts_version_ = 0;
  return true;
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

void Renderer::draw_list(const ImDrawList& list, int device_height, float pixel_ratio) {
  if (list.VtxBuffer.empty()) return;
  glBufferData(GL_ARRAY_BUFFER, list.VtxBuffer.size_in_bytes(), list.VtxBuffer.Data,
               GL_STREAM_DRAW);
  glBufferData(GL_ELEMENT_ARRAY_BUFFER, list.IdxBuffer.size_in_bytes(), list.IdxBuffer.Data,
               GL_STREAM_DRAW);
  for (const ImDrawCmd& command : list.CmdBuffer) {
    const float left = command.ClipRect.x * pixel_ratio, top = command.ClipRect.y * pixel_ratio;
    const int width = static_cast<int>(std::lround(command.ClipRect.z * pixel_ratio - left));
    const int height = static_cast<int>(std::lround(command.ClipRect.w * pixel_ratio - top));
    if (command.ElemCount == 0 || width <= 0 || height <= 0) continue;
    glScissor(static_cast<int>(left), device_height - static_cast<int>(std::lround(top)) - height,
              width, height);
    const auto texture = reinterpret_cast<std::uintptr_t>(command.TextureId);
    glBindTexture(GL_TEXTURE_2D, textures_[texture == widgets::second_texture ? 1 : 0]);
    const std::size_t first = command.VtxOffset * sizeof(ImDrawVert);
    const int stride = sizeof(ImDrawVert);
    glVertexAttribPointer(static_cast<unsigned>(at_position_), 2, GL_FLOAT, GL_FALSE, stride,
                          offset(first + offsetof(ImDrawVert, pos)));
    glVertexAttribPointer(static_cast<unsigned>(at_uv_), 2, GL_FLOAT, GL_FALSE, stride,
                          offset(first + offsetof(ImDrawVert, uv)));
    glVertexAttribPointer(static_cast<unsigned>(at_color_), 4, GL_UNSIGNED_BYTE, GL_TRUE, stride,
                          offset(first + offsetof(ImDrawVert, col)));
    glDrawElements(GL_TRIANGLES, static_cast<int>(command.ElemCount), GL_UNSIGNED_SHORT,
                   offset(command.IdxOffset * sizeof(ImDrawIdx)));
  }
}

void Renderer::draw(const std::vector<ImDrawList*>& lists, widgets::Fonts& fonts, float width,
                    float height, float pixel_ratio, std::uint32_t ground) {
  const int device_width = static_cast<int>(std::lround(width * pixel_ratio));
  const int device_height = static_cast<int>(std::lround(height * pixel_ratio));
  if (device_width <= 0 || device_height <= 0) return;
  glViewport(0, 0, device_width, device_height);
  glDisable(GL_SCISSOR_TEST);
  const auto part = [&](int shift) { return static_cast<float>(ground >> shift & 0xFF) / 255; };
  glClearColor(part(0), part(8), part(16), 1);
  glClear(GL_COLOR_BUFFER_BIT);
  glEnable(GL_SCISSOR_TEST);
  glEnable(GL_BLEND);
  glBlendFunc(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);
  glDisable(GL_CULL_FACE);
  glDisable(GL_DEPTH_TEST);
  glUseProgram(program_);
  glActiveTexture(GL_TEXTURE0);
  load_letters(fonts);
  load_scripts(fonts.any_script());
  glUniform1i(at_texture_, 0);
  glUniform2f(at_scale_, 2 / width, -2 / height);
  glBindBuffer(GL_ARRAY_BUFFER, vertices_);
  glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, indices_);
  for (int at : {at_position_, at_uv_, at_color_}) {
    glEnableVertexAttribArray(static_cast<unsigned>(at));
  }
  for (const ImDrawList* list : lists) draw_list(*list, device_height, pixel_ratio);
}

}  // namespace nthtree::shell
