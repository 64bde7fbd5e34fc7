// Reads a STEP file and prints, as one line of JSON, what Open CASCADE makes of
// it, lengths in mm:
//   messages     warnings and failures of reading and of making shapes, as text
//   valid        the shapes pass the kernel's own check
//   solids, shells, faces, edges   distinct ones
//   wires        edges that bound no face: curves
//   points       vertices that bound no edge
//   free         edges of shells with a face on one side only
//   volume       of all solids, positive where faces are turned outward
//   area         of all faces
//   tolerance    the largest of any vertex, edge or face
//   low, high    corners of the box of everything
//   layers       names, sorted
//   names        of the parts found
// Exit 0 when the file could be read, else 2.
//
// How it is compiled stands in export/step/lint/tools.go.

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepGProp.hxx>
#include <BRepTools.hxx>
#include <BRepTopAdaptor_FClass2d.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <GProp_GProps.hxx>
#include <IFSelect_ReturnStatus.hxx>
#include <Interface_CheckIterator.hxx>
#include <Interface_Check.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Message_Printer.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <Standard_Failure.hxx>
#include <TCollection_ExtendedString.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedDataMapOfShapeListOfShape.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XCAFApp_Application.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_LayerTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

namespace {

std::vector<std::string> messages;

// Collects what the kernel says.
class Listener : public Message_Printer {
 public:
  Listener() { SetTraceLevel(Message_Warning); }
  void send(const TCollection_AsciiString& text, const Message_Gravity) const override {
    messages.emplace_back(text.ToCString());
  }
};

void collect(const Interface_CheckIterator& checks) {
  Interface_CheckIterator it = checks;
  for (it.Start(); it.More(); it.Next()) {
    const Handle(Interface_Check) c = it.Value();
    for (int i = 1; i <= c->NbFails(); ++i) messages.emplace_back(c->CFail(i));
    for (int i = 1; i <= c->NbWarnings(); ++i) messages.emplace_back(c->CWarning(i));
  }
}

std::string quoted(const std::string& s) {
  std::string out = "\"";
  for (unsigned char c : s) {
    if (c == '"' || c == '\\') out += '\\';
    if (c < ' ') c = ' ';
    out += static_cast<char>(c);
  }
  return out + "\"";
}

std::string quoted(const std::vector<std::string>& list) {
  std::string out = "[";
  for (const auto& s : list) out += (out.size() > 1 ? "," : "") + quoted(s);
  return out + "]";
}

// number is x as JSON can say it.
double number(double x) { return std::isfinite(x) ? x : -1e300; }

std::string utf8(const TCollection_ExtendedString& s) {
  std::string out(s.LengthOfCString(), '\0');
  char* p = out.data();
  s.ToUTF8CString(p);
  return out;
}

int count(const TopoDS_Shape& s, TopAbs_ShapeEnum kind) {
  TopTools_IndexedMapOfShape map;
  TopExp::MapShapes(s, kind, map);
  return map.Extent();
}

int loose(const TopoDS_Shape& s, TopAbs_ShapeEnum kind, TopAbs_ShapeEnum in) {
  TopTools_IndexedMapOfShape map;
  for (TopExp_Explorer e(s, kind, in); e.More(); e.Next()) map.Add(e.Current());
  return map.Extent();
}

int freeEdges(const TopoDS_Shape& s) {
  TopTools_IndexedDataMapOfShapeListOfShape map;
  TopExp::MapShapesAndAncestors(s, TopAbs_EDGE, TopAbs_FACE, map);
  int n = 0;
  for (int i = 1; i <= map.Extent(); ++i) {
    if (map(i).Extent() == 1 && !BRep_Tool::Degenerated(TopoDS::Edge(map.FindKey(i)))) ++n;
  }
  return n;
}

double tolerance(const TopoDS_Shape& s) {
  double t = 0;
  for (TopExp_Explorer e(s, TopAbs_VERTEX); e.More(); e.Next()) t = std::max(t, BRep_Tool::Tolerance(TopoDS::Vertex(e.Current())));
  for (TopExp_Explorer e(s, TopAbs_EDGE); e.More(); e.Next()) t = std::max(t, BRep_Tool::Tolerance(TopoDS::Edge(e.Current())));
  for (TopExp_Explorer e(s, TopAbs_FACE); e.More(); e.Next()) t = std::max(t, BRep_Tool::Tolerance(TopoDS::Face(e.Current())));
  return t;
}

// The box of all corners, of places on all edges, and of a lattice of places on every face that
// its edges keep: the kernel's own box may take in what a face trims away, and
// falls short on round edges by up to 0.01 mm. Those fill the bounds of their
// parameters.
Bnd_Box boxOf(const TopoDS_Shape& s) {
  Bnd_Box box;
  for (TopExp_Explorer e(s, TopAbs_VERTEX); e.More(); e.Next()) box.Add(BRep_Tool::Pnt(TopoDS::Vertex(e.Current())));
  for (TopExp_Explorer e(s, TopAbs_EDGE); e.More(); e.Next()) {
    const BRepAdaptor_Curve c(TopoDS::Edge(e.Current()));
    const double t0 = c.FirstParameter(), t1 = c.LastParameter();
    const int n = 2000;
    for (int i = 0; i <= n; ++i) box.Add(c.Value(t0 + (t1 - t0) * i / n));
  }
  for (TopExp_Explorer e(s, TopAbs_FACE); e.More(); e.Next()) {
    const TopoDS_Face face = TopoDS::Face(e.Current());
    const BRepAdaptor_Surface f(face);
    const bool round = f.GetType() == GeomAbs_BSplineSurface && (f.IsURational() || f.IsVRational());
    const BRepTopAdaptor_FClass2d kept(face, 1e-7);
    double u0, u1, v0, v1;
    BRepTools::UVBounds(face, u0, u1, v0, v1);
    const int m = round ? 2000 : 200, n = round ? 60 : 120;
    for (int i = 0; i <= m; ++i) {
      for (int j = 0; j <= n; ++j) {
        const double u = u0 + (u1 - u0) * i / m, v = v0 + (v1 - v0) * j / n;
        if (round || kept.Perform(gp_Pnt2d(u, v)) != TopAbs_OUT) box.Add(f.Value(u, v));
      }
    }
  }
  return box;
}

int examine(const char* path) {
  STEPCAFControl_Reader reader;
  reader.SetNameMode(true);
  reader.SetLayerMode(true);
  if (reader.ReadFile(path) != IFSelect_RetDone) {
    std::fprintf(stderr, "step: %s cannot be read\n", path);
    for (const auto& m : messages) std::fprintf(stderr, "step: %s\n", m.c_str());
    return 2;
  }
  const Handle(XSControl_WorkSession) session = reader.Reader().WS();
  collect(session->ModelCheckList(Standard_True));
  Handle(TDocStd_Document) doc;
  XCAFApp_Application::GetApplication()->NewDocument("MDTV-XCAF", doc);
  if (!reader.Transfer(doc)) messages.emplace_back("transfer failed");
  collect(session->TransferReader()->LastCheckList());
  collect(session->TransferReader()->TransientProcess()->CheckList(Standard_False));

  const TopoDS_Shape shape = reader.Reader().OneShape();
  if (shape.IsNull()) {
    std::fprintf(stderr, "step: %s holds no shape\n", path);
    return 2;
  }
  GProp_GProps volume, area;
  for (TopExp_Explorer e(shape, TopAbs_SOLID); e.More(); e.Next()) {
    GProp_GProps one;
    BRepGProp::VolumeProperties(e.Current(), one, 1e-7);
    volume.Add(one);
  }
  BRepGProp::SurfaceProperties(shape, area, 1e-7);
  const Bnd_Box box = boxOf(shape);
  double x0, y0, z0, x1, y1, z1;
  box.Get(x0, y0, z0, x1, y1, z1);

  std::vector<std::string> layers, names;
  const Handle(XCAFDoc_LayerTool) tool = XCAFDoc_DocumentTool::LayerTool(doc->Main());
  TDF_LabelSequence labels;
  tool->GetLayerLabels(labels);
  for (int i = 1; i <= labels.Length(); ++i) {
    TCollection_ExtendedString name;
    tool->GetLayer(labels(i), name);
    layers.push_back(utf8(name));
  }
  std::sort(layers.begin(), layers.end());
  labels.Clear();
  XCAFDoc_DocumentTool::ShapeTool(doc->Main())->GetFreeShapes(labels);
  for (int i = 1; i <= labels.Length(); ++i) {
    Handle(TDataStd_Name) name;
    if (labels(i).FindAttribute(TDataStd_Name::GetID(), name)) names.push_back(utf8(name->Get()));
  }
  for (double* x : {&x0, &y0, &z0, &x1, &y1, &z1}) *x = number(*x);
  std::printf(
      "{\"messages\":%s,\"valid\":%s,\"solids\":%d,\"shells\":%d,\"faces\":%d,\"edges\":%d,\"wires\":%d,\"points\":%d,"
      "\"free\":%d,\"volume\":%.6f,\"area\":%.6f,\"tolerance\":%.9f,\"low\":[%.6f,%.6f,%.6f],\"high\":[%.6f,%.6f,%.6f],"
      "\"layers\":%s,\"names\":%s}\n",
      quoted(messages).c_str(), BRepCheck_Analyzer(shape).IsValid() ? "true" : "false", count(shape, TopAbs_SOLID),
      count(shape, TopAbs_SHELL), count(shape, TopAbs_FACE), count(shape, TopAbs_EDGE), loose(shape, TopAbs_EDGE, TopAbs_FACE),
      loose(shape, TopAbs_VERTEX, TopAbs_EDGE), freeEdges(shape), number(volume.Mass()), number(area.Mass()), number(tolerance(shape)), x0, y0, z0, x1,
      y1, z1, quoted(layers).c_str(), quoted(names).c_str());
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fprintf(stderr, "usage: step FILE.step\n");
    return 2;
  }
  Message::DefaultMessenger()->ChangePrinters().Clear();
  Message::DefaultMessenger()->AddPrinter(new Listener);
  try {
    return examine(argv[1]);
  } catch (const Standard_Failure& f) {
    std::fprintf(stderr, "step: %s\n", f.GetMessageString());
    return 2;
  }
}
