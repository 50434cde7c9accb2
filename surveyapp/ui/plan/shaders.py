"""The programs that draw the plan: the view is two numbers to them, so moving it costs nothing.

Every corner carries its place in metres; `plan_scale` (pixels per metre) and `plan_offset`
(pixels) turn it into a pixel. Strokes are capsules, smooth at the edge by the distance to
their axis. GLSL of OpenGL ES 2.0; `$HEADER$` is Kivy's own.
"""

from __future__ import annotations

STROKE_FORMAT = [
    (b"vPosition", 2, "float"),  # place of the start, metres
    (b"vFromPx", 2, "float"),  # and its shift, pixels
    (b"vTo", 2, "float"),
    (b"vToPx", 2, "float"),
    (b"vCorner", 2, "float"),  # 0 or 1 along, -1 or 1 across
    (b"vStyle", 4, "float"),  # half width px, half width m, dash px, dash period px
]
FILL_FORMAT = [(b"vPosition", 2, "float")]
TEXT_FORMAT = [(b"vPosition", 2, "float"), (b"vShift", 2, "float"), (b"vTexCoords0", 2, "float")]
PICTURE_FORMAT = [(b"vPosition", 2, "float"), (b"vTexCoords0", 2, "float")]

STROKE_VERTEX = """$HEADER$
attribute vec2 vFromPx;
attribute vec2 vTo;
attribute vec2 vToPx;
attribute vec2 vCorner;
attribute vec4 vStyle;
uniform float plan_scale;
uniform vec2 plan_offset;
varying vec2 place;
varying vec4 shape;
void main(void) {
    vec2 a = vPosition * plan_scale + plan_offset + vFromPx;
    vec2 b = vTo * plan_scale + plan_offset + vToPx;
    float run = length(b - a);
    vec2 along = run > 0.0001 ? (b - a) / run : vec2(1.0, 0.0);
    float half_px = max(vStyle.x, vStyle.y * plan_scale);
    float reach = half_px + 1.0;
    place = vec2(mix(-reach, run + reach, vCorner.x), reach * vCorner.y);
    shape = vec4(run, half_px, vStyle.z, vStyle.w);
    vec2 corner = a + along * place.x + vec2(-along.y, along.x) * place.y;
    frag_color = color * vec4(1.0, 1.0, 1.0, opacity);
    tex_coord0 = vec2(0.0, 0.0);
    gl_Position = projection_mat * modelview_mat * vec4(corner, 0.0, 1.0);
}
"""
STROKE_FRAGMENT = """$HEADER$
varying vec2 place;
varying vec4 shape;
void main(void) {
    if (shape.w > 0.0 && mod(place.x, shape.w) > shape.z) {
        discard;
    }
    float beyond = max(max(-place.x, place.x - shape.x), 0.0);
    float ink = clamp(shape.y - length(vec2(beyond, place.y)) + 0.5, 0.0, 1.0);
    gl_FragColor = vec4(frag_color.rgb, frag_color.a * ink);
}
"""
FILL_VERTEX = """$HEADER$
uniform float plan_scale;
uniform vec2 plan_offset;
void main(void) {
    frag_color = color * vec4(1.0, 1.0, 1.0, opacity);
    tex_coord0 = vec2(0.0, 0.0);
    vec2 corner = vPosition * plan_scale + plan_offset;
    gl_Position = projection_mat * modelview_mat * vec4(corner, 0.0, 1.0);
}
"""
FILL_FRAGMENT = """$HEADER$
void main(void) {
    gl_FragColor = frag_color;
}
"""
TEXT_VERTEX = """$HEADER$
attribute vec2 vShift;
uniform float plan_scale;
uniform vec2 plan_offset;
void main(void) {
    frag_color = color * vec4(1.0, 1.0, 1.0, opacity);
    tex_coord0 = vTexCoords0;
    vec2 corner = floor(vPosition * plan_scale + plan_offset + 0.5) + vShift;
    gl_Position = projection_mat * modelview_mat * vec4(corner, 0.0, 1.0);
}
"""
TEXT_FRAGMENT = """$HEADER$
void main(void) {
    gl_FragColor = frag_color * texture2D(texture0, tex_coord0);
}
"""
PICTURE_VERTEX = """$HEADER$
uniform float plan_scale;
uniform vec2 plan_offset;
void main(void) {
    frag_color = color * vec4(1.0, 1.0, 1.0, opacity);
    tex_coord0 = vTexCoords0;
    vec2 corner = vPosition * plan_scale + plan_offset;
    gl_Position = projection_mat * modelview_mat * vec4(corner, 0.0, 1.0);
}
"""
