Function DWT_BOND_ENERGY(work_index, feed_f80, product_p80)
    #If App = "Microsoft Excel" Then
        If TypeOf Application.Caller Is Range Then On Error GoTo failed
        DWT_BOND_ENERGY = XLPy.CallUDF("pennyweight.addins.excel.functions", "DWT_BOND_ENERGY", Array(work_index, feed_f80, product_p80, ""), ThisWorkbook, Application.Caller)
        Exit Function
    #Else
        DWT_BOND_ENERGY = XLPy.CallUDF("pennyweight.addins.excel.functions", "DWT_BOND_ENERGY", Array(work_index, feed_f80, product_p80, ""))
        Exit Function
    #End If
failed:
    DWT_BOND_ENERGY = Err.Description
End Function

Function DWT_MILL_POWER(diameter, length, filling, speed_fraction, Optional discharge, Optional dry, Optional units)
    #If App = "Microsoft Excel" Then
        If TypeOf Application.Caller Is Range Then On Error GoTo failed
        DWT_MILL_POWER = XLPy.CallUDF("pennyweight.addins.excel.functions", "DWT_MILL_POWER", Array(diameter, length, filling, speed_fraction, discharge, dry, units, ""), ThisWorkbook, Application.Caller)
        Exit Function
    #Else
        DWT_MILL_POWER = XLPy.CallUDF("pennyweight.addins.excel.functions", "DWT_MILL_POWER", Array(diameter, length, filling, speed_fraction, discharge, dry, units, ""))
        Exit Function
    #End If
failed:
    DWT_MILL_POWER = Err.Description
End Function
