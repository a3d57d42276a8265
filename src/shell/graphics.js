// SPDX-License-Identifier: Apache-2.0
// OpenGL as renderer.cpp asks for it, and no more: one canvas, objects that are never given back
// but shaders, textures of one byte a pixel. Emscripten's own, with all that OpenGL promises, is
// four times as large.
var graphics = {
  $GL: {
    objects: [null], // by their numbers: programs, shaders, buffers, textures
    keep: function(object) { return GL.objects.push(object) - 1; },
  },
  $GL__postset: "var GLctx;",
  glCreateProgram: function() { return GL.keep(GLctx.createProgram()); },
  glCreateShader: function(kind) { return GL.keep(GLctx.createShader(kind)); },
  glShaderSource: function(shader, count, sources) {
    GLctx.shaderSource(GL.objects[shader], UTF8ToString(HEAP32[sources >> 2]));
  },
  glCompileShader: function(shader) { GLctx.compileShader(GL.objects[shader]); },
  glDeleteShader: function(shader) { GLctx.deleteShader(GL.objects[shader]); },
  glAttachShader: function(program, shader) {
    GLctx.attachShader(GL.objects[program], GL.objects[shader]);
  },
  glLinkProgram: function(program) { GLctx.linkProgram(GL.objects[program]); },
  glUseProgram: function(program) { GLctx.useProgram(GL.objects[program]); },
  glGetProgramiv: function(program, what, to) {
    HEAP32[to >> 2] = GLctx.getProgramParameter(GL.objects[program], what);
  },
  glBindAttribLocation: function(program, place, name) {
    GLctx.bindAttribLocation(GL.objects[program], place, UTF8ToString(name));
  },
  glGenBuffers: function(many, to) {
    for (var i = 0; i < many; ++i) HEAP32[(to >> 2) + i] = GL.keep(GLctx.createBuffer());
  },
  glGenTextures: function(many, to) {
    for (var i = 0; i < many; ++i) HEAP32[(to >> 2) + i] = GL.keep(GLctx.createTexture());
  },
  glBindBuffer: function(target, buffer) { GLctx.bindBuffer(target, GL.objects[buffer]); },
  glBindTexture: function(target, texture) { GLctx.bindTexture(target, GL.objects[texture]); },
  glBufferData: function(target, bytes, from, usage) {
    GLctx.bufferData(target, HEAPU8.subarray(from, from + bytes), usage);
  },
  glTexImage2D: function(target, level, inside, width, height, border, format, type, from) {
    GLctx.texImage2D(target, level, inside, width, height, border, format, type,
                     HEAPU8.subarray(from, from + width * height));
  },
};
for (var name of Object.keys(graphics)) {
  if (name.startsWith("gl")) graphics[name + "__deps"] = ["$GL"];
}
mergeInto(LibraryManager.library, graphics);
